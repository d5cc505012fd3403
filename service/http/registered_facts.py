"""What entries are checked by: dates of birth, levels and memberships; foaling, sex and levels.

It stands beside the log, where it can be corrected, and goes with a person who is erased. Only the
office and the steward read it.
"""

from typing import Any

import msgspec
from flask import Response
from marshmallow import Schema, fields, validate

from events.show.facts import HorseFacts, RiderFacts
from service.desk import facts
from service.http.api import Resource
from service.http.division_schemas import SEXES
from service.http.fields import Day, Line, Whole
from service.http.here import desk
from service.http.shown import show

blueprint = Resource("what entries are checked by", __name__, url_prefix="/v1", description=__doc__)
HEMISPHERES = ("northern", "southern")
MOST = 200
LEVEL = {"level": "novice", "since": "2025-01-01", "discipline": "horsemanship"}
MEMBERSHIP = {
    "body": "Hill Country",
    "number": "20417",
    "since": "2026-01-01",
    "until": "2026-12-31",
}
RIDER = {"born": "2009-03-14", "levels": [LEVEL], "memberships": [MEMBERSHIP]}
HORSE: dict[str, Any] = {
    "foaled": "2021-04-02",
    "foaled_year": None,
    "foaled_in": "northern",
    "sex": "mare",
    "levels": [],
}


class LevelHeldSchema(Schema):
    """A level held from a day on until the next, in one discipline or in all of them."""

    level = Line(60, required=True)
    since = Day(required=True)
    discipline = Line(60, allow_none=True)


class MembershipSchema(Schema):
    """A membership; its first and its last day count, and what is null is open."""

    body = Line(120, required=True)
    number = Line(60, allow_none=True)
    since = Day(allow_none=True)
    until = Day(allow_none=True)


class RiderFactsSchema(Schema):
    """What is known of a rider; what is left out is not known."""

    born = Day(allow_none=True)
    levels = fields.List(fields.Nested(LevelHeldSchema), validate=validate.Length(max=MOST))
    memberships = fields.List(fields.Nested(MembershipSchema), validate=validate.Length(max=MOST))


class HorseFactsSchema(Schema):
    """What is known of a horse; what is left out is not known.

    `foaled_year` is for horses whose foaling day is not known; `foaled_in` says on which side of
    the equator it was.
    """

    foaled = Day(allow_none=True)
    foaled_year = Whole(1, 9999, allow_none=True)
    foaled_in = fields.String(allow_none=True, validate=validate.OneOf(HEMISPHERES))
    sex = fields.String(allow_none=True, validate=validate.OneOf(SEXES))
    levels = fields.List(fields.Nested(LevelHeldSchema), validate=validate.Length(max=MOST))


@blueprint.route("/people/<id:person_id>/facts", methods=["GET"])
@blueprint.allows("office", "steward")
@blueprint.reads
@blueprint.refuses(404)
@blueprint.response(200, RiderFactsSchema, example=RIDER)
def read_rider_facts(person_id: str) -> Response:
    """Read what a person's entries are checked by."""
    return show(RiderFactsSchema(), facts.of_person(desk(), person_id))


@blueprint.route("/people/<id:person_id>/facts", methods=["PUT"])
@blueprint.allows("office")
@blueprint.refuses(404, 409, 422)
@blueprint.arguments(RiderFactsSchema, example=RIDER)
@blueprint.response(200, RiderFactsSchema, example=RIDER)
def keep_rider_facts(body: dict[str, Any], person_id: str) -> Response:
    """Replace what a person's entries are checked by.

    Entries that were taken before stay as they are; ask for the eligibility of a class to see how
    they stand now.
    """
    known = msgspec.convert(body, RiderFacts)
    return show(RiderFactsSchema(), facts.keep_of_person(desk(), person_id, known))


@blueprint.route("/horses/<id:horse_id>/facts", methods=["GET"])
@blueprint.allows("office", "steward")
@blueprint.reads
@blueprint.refuses(404)
@blueprint.response(200, HorseFactsSchema, example=HORSE)
def read_horse_facts(horse_id: str) -> Response:
    """Read what a horse's entries are checked by."""
    return show(HorseFactsSchema(), facts.of_horse(desk(), horse_id))


@blueprint.route("/horses/<id:horse_id>/facts", methods=["PUT"])
@blueprint.allows("office")
@blueprint.refuses(404, 422)
@blueprint.arguments(HorseFactsSchema, example=HORSE)
@blueprint.response(200, HorseFactsSchema, example=HORSE)
def keep_horse_facts(body: dict[str, Any], horse_id: str) -> Response:
    """Replace what a horse's entries are checked by."""
    known = msgspec.convert(body, HorseFacts)
    return show(HorseFactsSchema(), facts.keep_of_horse(desk(), horse_id, known))
