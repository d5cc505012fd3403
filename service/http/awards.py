"""Prize money: what a purse comes to by a schedule of percentages."""

from typing import Any

import msgspec
from flask import Response
from marshmallow import Schema, fields, validate

from service.desk import awards
from service.desk.awards import Purse
from service.http.api import Resource
from service.http.fields import Figure, Id, Line, Whole
from service.http.guard import caller
from service.http.here import desk
from service.http.shown import HorseNamed, PersonNamed, show

blueprint = Resource(
    "awards", __name__, url_prefix="/v1/classes/<id:class_id>", description=__doc__
)
PERCENT = r"^\d{1,3}(\.\d{1,6}|/[1-9]\d{0,3})?$"


class PurseSchema(Schema):
    """A purse, and the part of it for each place, first place first.

    A percentage is a decimal number or a fraction, such as `33.3` or `100/3`. What rounding down to
    the cent leaves is kept, or goes to first place; the money of places that nobody holds is kept,
    or shared evenly among those who place.
    """

    cents = Whole(0, required=True)
    percentages = fields.List(
        fields.String(validate=validate.Regexp(PERCENT)),
        required=True,
        validate=validate.Length(min=1, max=200),
    )
    odd_cents = fields.String(load_default="kept", validate=validate.OneOf(("kept", "to_first")))
    unfilled = fields.String(
        load_default="kept", validate=validate.OneOf(("kept", "shared_evenly"))
    )
    seat = Id(metadata={"description": "Whose result it is, where judges' results are separate."})
    division = Line(60)
    section = Whole(
        1, metadata={"description": "Which section is paid for, in a class ridden in sections."}
    )


class PrizeSchema(Schema):
    """What one entry is paid, in cents, `odd_cents` of them beyond its `percent`."""

    entry = fields.String(required=True)
    back_number = Whole(required=True)
    exhibitor = PersonNamed(required=True)
    horse = HorseNamed(required=True, allow_none=True)
    place = Whole(required=True)
    percent = Figure(required=True)
    cents = Whole(required=True)
    odd_cents = Whole(required=True)


class PayoutSchema(Schema):
    """A purse paid out: it is `paid` + `unscheduled` + `unfilled` + `odd_cents`, all in cents.

    `notes` say what is left of it, and why, such as a schedule that does not come to 100 %.
    """

    version = Whole(required=True)
    phase = fields.String(required=True)
    purse = Whole(required=True)
    paid = Whole(required=True)
    unscheduled = Whole(required=True)
    unfilled = Whole(required=True)
    odd_cents = Whole(required=True)
    prizes = fields.List(fields.Nested(PrizeSchema), required=True)
    notes = fields.List(fields.String(), required=True)


@blueprint.route("/payout", methods=["POST"])
@blueprint.allows("office", "steward")
@blueprint.refuses(404, 409, 413, 415, 422)
@blueprint.arguments(
    PurseSchema, example={"cents": 100_000, "percentages": ["43", "33", "23"], "seat": "A"}
)
@blueprint.response(
    200,
    PayoutSchema,
    example={
        "version": 61,
        "phase": "official",
        "purse": 100_000,
        "paid": 99_000,
        "unscheduled": 1_000,
        "unfilled": 0,
        "odd_cents": 0,
        "prizes": [
            {
                "entry": "e-214",
                "back_number": 214,
                "exhibitor": {"id": "p-lind", "name": "Karin Lind"},
                "horse": {"id": "h-smoke", "name": "Smoke Over Willow"},
                "place": 1,
                "percent": "43",
                "cents": 43_000,
                "odd_cents": 0,
            }
        ],
        "notes": ["The schedule comes to 99 %, not 100 %: 1 % of the purse is not scheduled."],
    },
)
def reckon_payout(body: dict[str, Any], class_id: str) -> Response:
    """Reckon what a purse pays to whom, as the placing stands.

    A question, not a command: nothing is stored. Entries that share a place share its money.
    """
    purse = Purse(**body | {"percentages": tuple(body["percentages"])})
    paid, seen = awards.payout_of(desk(), caller(), class_id, purse)
    prizes = [
        msgspec.structs.asdict(prize)
        | {
            "back_number": seen.state.entries[prize.entry].back_number,
            "exhibitor": seen.state.entries[prize.entry].exhibitor,
            "horse": seen.state.entries[prize.entry].horse,
        }
        for prize in paid.prizes
    ]
    document = msgspec.structs.asdict(paid) | {
        "version": seen.version,
        "phase": seen.phase_now,
        "prizes": prizes,
    }
    return show(PayoutSchema(), document, version=seen.version, names=seen.names)
