"""Back numbers: given once for the whole show, and checked with every entry from then on."""

from typing import Any

from flask import Response
from marshmallow import Schema, fields

from events.show.commands import GiveBackNumber, TakeBackNumber
from events.show.state import ShowState
from service.desk import numbers, shows
from service.http.api import Resource
from service.http.asking import command_ask
from service.http.class_schemas import ReasonSchema
from service.http.common import RECEIPT, ReceiptSchema, acknowledged
from service.http.fields import Id, Whole
from service.http.guard import caller
from service.http.here import desk
from service.http.shown import HorseNamed, PersonNamed, show

blueprint = Resource(
    "numbers", __name__, url_prefix="/v1/shows/<id:show_id>/back-numbers", description=__doc__
)
DONE = RECEIPT | {"id": "three-rivers-2026"}
GIVEN = {
    "number": 214,
    "exhibitor": {"id": "p-lind", "name": "Karin Lind"},
    "horse": {"id": "h-smoke", "name": "Smoke Over Willow"},
}


class NumberSchema(Schema):
    """A back number for an exhibitor, with one horse or with any."""

    number = Whole(1, 100_000, required=True)
    exhibitor = Id(required=True, metadata={"description": "The id of a registered person."})
    horse = Id(allow_none=True, metadata={"description": "The id of a registered horse."})


class NumberShownSchema(Schema):
    """A back number, and who carries it."""

    number = Whole(required=True)
    exhibitor = PersonNamed(required=True)
    horse = HorseNamed(required=True, allow_none=True)


class NumbersSchema(Schema):
    """The back numbers of a show, and the lowest one that is still to be given."""

    items = fields.List(fields.Nested(NumberShownSchema), required=True)
    taken_back = fields.List(Whole(), required=True)
    next_free = Whole(required=True)


@blueprint.route("", methods=["GET"])
@blueprint.allows("office", "scribe", "steward", "federation")
@blueprint.reads
@blueprint.refuses(404)
@blueprint.response(
    200, NumbersSchema, example={"items": [GIVEN], "taken_back": [7], "next_free": 1}
)
def list_numbers(show_id: str) -> Response:
    """List the back numbers of a show."""
    state, joined = numbers.given(desk(), caller(), show_id)
    document = {
        "items": [state.back_numbers[number] for number in sorted(state.back_numbers)],
        "taken_back": sorted(state.spent_numbers),
        "next_free": _next_free(state),
    }
    return show(NumbersSchema(), document, version=state.version, names=joined)


@blueprint.route("", methods=["POST"])
@blueprint.allows("office")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(
    NumberSchema, example={"number": 214, "exhibitor": "p-lind", "horse": "h-smoke"}
)
@blueprint.response(200, ReceiptSchema, example=DONE)
def give_number(body: dict[str, Any], show_id: str) -> Response:
    """Give a back number for the whole show.

    Once a show gives back numbers, classes take entries only under the number that was given.
    """
    command = GiveBackNumber(**body)
    return acknowledged(shows.carry_out(desk(), command_ask(), show_id, command))


@blueprint.route("/<int:number>/take-back", methods=["POST"])
@blueprint.allows("office")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(ReasonSchema, example={"reason": "It was given to the wrong horse."})
@blueprint.response(200, ReceiptSchema, example=DONE)
def take_number_back(body: dict[str, Any], show_id: str, number: int) -> Response:
    """Take a back number out of use.

    It is not given to anybody else, and entries that were made under it keep it.
    """
    command = TakeBackNumber(number=number, reason=body["reason"])
    return acknowledged(shows.carry_out(desk(), command_ask(), show_id, command))


def _next_free(state: ShowState) -> int:
    used = state.back_numbers.keys() | state.spent_numbers
    return next(number for number in range(1, len(used) + 2) if number not in used)
