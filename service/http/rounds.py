"""Rounds of a class: run-offs, the cut, those who go on, and the cuts for learners' scores."""

from typing import Any

from flask import Response
from marshmallow import Schema, fields, validate

from events.judged_class.commands import HoldRunOff, MakeCut, SetContestCuts
from service.desk import classes, rounds
from service.http.api import Resource
from service.http.asking import command_ask
from service.http.common import RECEIPT, EntryRefSchema, ReceiptSchema, acknowledged, entry_ref
from service.http.fields import Whole
from service.http.here import desk

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
    """
    return acknowledged(rounds.enter_qualified(desk(), command_ask(), class_id))


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
