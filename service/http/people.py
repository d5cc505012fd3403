"""People and horses: the only place where their names and contacts stand."""

from typing import Any

from flask import Response
from marshmallow import Schema, fields

from service.desk import people
from service.http.api import Resource
from service.http.asking import command_ask
from service.http.common import ReceiptSchema, acknowledged
from service.http.fields import Id, Line, Moment
from service.http.guard import caller
from service.http.here import desk
from service.http.shown import show

blueprint = Resource("people and horses", __name__, url_prefix="/v1", description=__doc__)

PERSON = {"name": "Judith Ames", "contact": "+1 555 0142"}
HORSE = {"name": "Smoke Over Willow", "registration": "5 512 044"}
MADE_PERSON = {"id": "p-ames", "events": 0}
MADE_HORSE = {"id": "h-smoke", "events": 0}


class PersonBodySchema(Schema):
    """What is kept of a person."""

    name = Line(required=True)
    contact = Line(500, allow_none=True, load_default=None)


class NewPersonSchema(PersonBodySchema):
    """A new person, under an id of your choice or one that is made."""

    id = Id()


class PersonShownSchema(Schema):
    """A person; of an erased one only the id is left."""

    id = fields.String(required=True)
    name = fields.String(required=True, attribute="shown_name")
    contact = fields.String(required=True, allow_none=True)
    erased_at = Moment(required=True, allow_none=True)


class HorseBodySchema(Schema):
    """What is kept of a horse; ``registration`` is its number with a breed's registry."""

    name = Line(required=True)
    registration = Line(60, allow_none=True, load_default=None)


class NewHorseSchema(HorseBodySchema):
    """A new horse, under an id of your choice or one that is made."""

    id = Id()


class HorseShownSchema(HorseBodySchema):
    """A horse."""

    id = fields.String(required=True)


@blueprint.route("/people", methods=["POST"])
@blueprint.allows("office")
@blueprint.registers
@blueprint.arguments(NewPersonSchema, example=PERSON | {"id": "p-ames"})
@blueprint.response(201, ReceiptSchema, example=MADE_PERSON)
def register_person(body: dict[str, Any]) -> Response:
    """Register a person."""
    done = people.register_person(desk(), command_ask(), person_id=body.pop("id", None), **body)
    return acknowledged(done, 201, location=f"/v1/people/{done.id}")


@blueprint.route("/people/<id:person_id>", methods=["GET"])
@blueprint.allows("office", "steward")
@blueprint.reads
@blueprint.refuses(404)
@blueprint.response(200, PersonShownSchema, example=PERSON | {"id": "p-ames", "erased_at": None})
def read_person(person_id: str) -> Response:
    """Read what is kept of a person."""
    return show(PersonShownSchema(), people.person_with(desk(), person_id))


@blueprint.route("/people/<id:person_id>", methods=["PUT"])
@blueprint.allows("office")
@blueprint.refuses(404, 409, 422)
@blueprint.arguments(PersonBodySchema, example=PERSON)
@blueprint.response(200, PersonShownSchema, example=PERSON | {"id": "p-ames", "erased_at": None})
def correct_person(body: dict[str, Any], person_id: str) -> Response:
    """Put a person's name or contact right.

    It then reads so everywhere, in results of the past too.
    """
    return show(PersonShownSchema(), people.correct_person(desk(), person_id, **body))


@blueprint.route("/people/<id:person_id>", methods=["DELETE"])
@blueprint.allows("office")
@blueprint.refuses(404)
@blueprint.response(
    200,
    PersonShownSchema,
    example={
        "id": "p-ames",
        "name": "withheld",
        "contact": None,
        "erased_at": "2026-06-01T09:00:00.000000Z",
    },
)
def erase_person(person_id: str) -> Response:
    """Forget a person's name, contact and facts for good.

    The id stays, so that results and their proofs stay as they are; wherever the person was named
    it reads "withheld". Only with a key that is good for all shows.
    """
    return show(PersonShownSchema(), people.erase_person(desk(), caller(), person_id))


@blueprint.route("/horses", methods=["POST"])
@blueprint.allows("office")
@blueprint.registers
@blueprint.arguments(NewHorseSchema, example=HORSE | {"id": "h-smoke"})
@blueprint.response(201, ReceiptSchema, example=MADE_HORSE)
def register_horse(body: dict[str, Any]) -> Response:
    """Register a horse."""
    done = people.register_horse(desk(), command_ask(), horse_id=body.pop("id", None), **body)
    return acknowledged(done, 201, location=f"/v1/horses/{done.id}")


@blueprint.route("/horses/<id:horse_id>", methods=["GET"])
@blueprint.allows("office", "steward")
@blueprint.reads
@blueprint.refuses(404)
@blueprint.response(200, HorseShownSchema, example=HORSE | {"id": "h-smoke"})
def read_horse(horse_id: str) -> Response:
    """Read what is kept of a horse."""
    return show(HorseShownSchema(), people.horse_with(desk(), horse_id))


@blueprint.route("/horses/<id:horse_id>", methods=["PUT"])
@blueprint.allows("office")
@blueprint.refuses(404, 422)
@blueprint.arguments(HorseBodySchema, example=HORSE)
@blueprint.response(200, HorseShownSchema, example=HORSE | {"id": "h-smoke"})
def correct_horse(body: dict[str, Any], horse_id: str) -> Response:
    """Put a horse's name or registration right."""
    return show(HorseShownSchema(), people.correct_horse(desk(), horse_id, **body))
