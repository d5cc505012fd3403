"""Rounds of a class: run-offs, the cut, those who go on, and the cuts for learners' scores."""

from typing import Any

from flask import Response
from marshmallow import Schema, fields, validate

from events.judged_class.commands import (
    EntryRef,
    HoldRunOff,
    MakeCut,
    SetCarriedTotal,
    SetContestCuts,
)
from events.judged_class.state import Entry
from service.desk import classes, rounds
from service.desk.rounds import Between
from service.http.api import Resource
from service.http.asking import command_ask
from service.http.common import RECEIPT, EntryRefSchema, ReceiptSchema, acknowledged, entry_ref
from service.http.fields import Points, Whole
from service.http.guard import caller
from service.http.here import desk
from service.http.shown import HorseNamed, PersonNamed, show

blueprint = Resource(
    "rounds", __name__, url_prefix="/v1/classes/<id:class_id>", description=__doc__
)


class RunOffSchema(Schema):
    """How a run-off ended, best first, who declined to ride, and who is given the award."""

    order = fields.List(
        fields.Nested(EntryRefSchema), load_default=list, validate=validate.Length(max=1000)
    )
    declined = fields.List(
        fields.Nested(EntryRefSchema), load_default=list, validate=validate.Length(max=1000)
    )
    award_to = fields.Nested(
        EntryRefSchema,
        metadata={"description": "Who is handed the award when all declined, as by a coin."},
    )


class CutSchema(Schema):
    """How many go on, and whether those tied at the cut all do, or none of them.

    `per_section` takes so many from each section of a class that is ridden in sections.
    """

    size = Whole(1, 1000, required=True)
    with_ties = fields.Boolean(load_default=True, truthy={True}, falsy={False})
    per_section = fields.Boolean(load_default=False, truthy={True}, falsy={False})


class QualifiedSchema(Schema):
    """One who qualified in the round before, and what is entered here.

    `total` is what it has there by now, null where there is no one total to carry. `agrees` says
    that it is entered and, where this round carries totals, carries that one.
    """

    entry = fields.String(required=True)
    back_number = Whole(required=True)
    exhibitor = PersonNamed(required=True)
    horse = HorseNamed(required=True, allow_none=True)
    section = Whole(required=True, allow_none=True)
    total = Points(required=True, allow_none=True)
    entered = fields.Boolean(required=True)
    carried = Points(required=True, allow_none=True)
    agrees = fields.Boolean(required=True)


class PlainEntrySchema(Schema):
    """An entry by its id and its back number."""

    entry = fields.String(required=True)
    back_number = Whole(required=True)


class BetweenRoundsSchema(Schema):
    """Who qualified in the round before, and how that agrees with who is entered in this one.

    `outdated` says that something changed there since the cut was made at event `cut_at`.
    `tied_out` are those whom a tie at the cut kept out, `others` are entered here and did not
    qualify.
    """

    after = fields.String(required=True)
    carries = fields.Boolean(required=True)
    phase = fields.String(required=True)
    cut_at = Whole(required=True)
    outdated = fields.Boolean(required=True)
    rows = fields.List(fields.Nested(QualifiedSchema), required=True)
    tied_out = fields.List(fields.Nested(PlainEntrySchema), required=True)
    others = fields.List(fields.Nested(PlainEntrySchema), required=True)


class CarriedSchema(Schema):
    """The total that an entry brings from the round before."""

    total = Points(required=True)


class ContestCutsSchema(Schema):
    """The cuts between neighbouring official places, best first."""

    cuts = fields.List(Whole(0, 1000), required=True, validate=validate.Length(min=1, max=1000))


@blueprint.route("/run-offs", methods=["POST"])
@blueprint.allows("office", "steward")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(
    RunOffSchema, example={"order": [{"back_number": 87}, {"back_number": 5}], "declined": []}
)
@blueprint.response(200, ReceiptSchema, example=RECEIPT)
def hold_run_off(body: dict[str, Any], class_id: str) -> Response:
    """Record a run-off between entries that the panel left equal.

    One who declines while another rides forfeits; when all decline they share the place, and
    `award_to` is who takes the award home.
    """
    award_to = body.get("award_to")
    command = HoldRunOff(
        order=tuple(entry_ref(each) for each in body["order"]),
        declined=tuple(entry_ref(each) for each in body["declined"]),
        award_to=None if award_to is None else entry_ref(award_to),
    )
    return acknowledged(classes.carry_out(desk(), command_ask(), class_id, command))


@blueprint.route("/cut", methods=["POST"])
@blueprint.allows("office", "steward")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(CutSchema, example={"size": 10, "with_ties": True})
@blueprint.response(200, ReceiptSchema, example=RECEIPT)
def make_cut(body: dict[str, Any], class_id: str) -> Response:
    """Make the cut to the next round, once results are posted.

    Over all sections it goes by scores, times or call-backs: a judge's places in one section say
    nothing of another.
    """
    return acknowledged(classes.carry_out(desk(), command_ask(), class_id, MakeCut(**body)))


@blueprint.route("/qualified", methods=["POST"])
@blueprint.allows("office")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.response(200, ReceiptSchema, example=RECEIPT)
def enter_qualified(class_id: str) -> Response:
    """Enter those who qualified in the round before.

    Under the numbers they carry, with their totals where this round carries them; all or none.
    Asked again, it enters those whom a larger cut has added, and takes corrected totals over.
    """
    return acknowledged(rounds.enter_qualified(desk(), command_ask(), class_id))


@blueprint.route("/qualified", methods=["GET"])
@blueprint.allows("office", "steward")
@blueprint.reads
@blueprint.refuses(404, 409)
@blueprint.response(
    200,
    BetweenRoundsSchema,
    example={
        "after": "ranch-reining-go",
        "carries": True,
        "phase": "official",
        "cut_at": 88,
        "outdated": False,
        "rows": [
            {
                "entry": "e-214",
                "back_number": 214,
                "exhibitor": {"id": "p-lind", "name": "Karin Lind"},
                "horse": {"id": "h-smoke", "name": "Smoke Over Willow"},
                "section": None,
                "total": 71.5,
                "entered": True,
                "carried": 71.5,
                "agrees": True,
            }
        ],
        "tied_out": [{"entry": "e-31", "back_number": 31}],
        "others": [],
    },
)
def read_qualified(class_id: str) -> Response:
    """Read who qualified in the round before.

    And whether those entered here, and the totals that they carry, still agree with it: a protest
    there may have moved them since.
    """
    found = rounds.between(desk(), caller(), class_id)
    return show(BetweenRoundsSchema(), _between(found), names=found.seen.names)


@blueprint.route("/entries/<id:entry>/carried", methods=["PUT"])
@blueprint.allows("office", "steward")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(CarriedSchema, example={"total": 71.5})
@blueprint.response(200, ReceiptSchema, example=RECEIPT | {"id": "e-214"})
def set_carried(body: dict[str, Any], class_id: str, entry: str) -> Response:
    """Set the total that an entry brings from the round before.

    For what the office carries by hand, such as the sum of a panel; who qualified brings the total
    along.
    """
    command = SetCarriedTotal(ref=EntryRef(entry=entry), carried=body["total"])
    done = classes.carry_out(desk(), command_ask(), class_id, command, thing=entry)
    return acknowledged(done)


@blueprint.route("/contest-cuts", methods=["PUT"])
@blueprint.allows("office", "steward")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(ContestCutsSchema, example={"cuts": [2, 5, 3]})
@blueprint.response(200, ReceiptSchema, example=RECEIPT)
def set_contest_cuts(body: dict[str, Any], class_id: str) -> Response:
    """Set the cuts that learners' placings are scored by; they move no official result."""
    command = SetContestCuts(cuts=tuple(body["cuts"]))
    return acknowledged(classes.carry_out(desk(), command_ask(), class_id, command))


def _between(found: Between) -> dict[str, Any]:
    return {
        "after": found.after,
        "carries": found.carries,
        "phase": found.phase,
        "cut_at": found.cut_at,
        "outdated": found.outdated,
        "rows": [
            _plain(row.entry)
            | {
                "exhibitor": row.entry.exhibitor,
                "horse": row.entry.horse,
                "section": row.section,
                "total": row.total,
                "entered": row.entered,
                "carried": row.carried,
                "agrees": row.agrees,
            }
            for row in found.rows
        ],
        "tied_out": [_plain(entry) for entry in found.tied_out],
        "others": [_plain(entry) for entry in found.others],
    }


def _plain(entry: Entry) -> dict[str, Any]:
    return {"entry": entry.id, "back_number": entry.back_number}
