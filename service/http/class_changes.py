"""Changes to a class on the schedule: cancelled, moved, combined, and judges who leave."""

from typing import Any

from flask import Response
from marshmallow import Schema, fields

from events.envelope import Command
from events.judged_class.commands import (
    CancelClass,
    ChangePanel,
    CloseSeat,
    LiftCancellation,
    ReplaceJudge,
    UnseatJudge,
)
from service.desk import classes, combining
from service.desk.classes import ClassChange
from service.desk.combining import Combination
from service.http.api import Resource
from service.http.asking import command_ask
from service.http.class_schemas import ReasonSchema
from service.http.common import RECEIPT, ReceiptSchema, acknowledged
from service.http.fields import Day, Id, Line, Prose, Whole
from service.http.here import desk
from service.http.option_schemas import PanelChoiceSchema, panel_choice

blueprint = Resource(
    "class_changes", __name__, url_prefix="/v1/classes/<id:class_id>", description=__doc__
)


class RescheduleSchema(Schema):
    """What is to be different, and why; what is left out stays as it is."""

    reason = Prose(required=True)
    name = Line()
    number = Whole(1, 100_000, allow_none=True)
    ring = Line(60, allow_none=True)
    day = Day(allow_none=True)


class PanelChangeSchema(Schema):
    """How the judges are combined instead, or null for the way of the rule book, and why."""

    panel = fields.Nested(PanelChoiceSchema, required=True, allow_none=True)
    reason = Prose(required=True)


class ReplacementSchema(Schema):
    """Who fills the card from here on, and why."""

    judge = Id(required=True, metadata={"description": "The id of a registered person."})
    reason = Prose(required=True)


class SeatClosingSchema(Schema):
    """Why, and how the other judges are combined where that has to change."""

    reason = Prose(required=True)
    panel = fields.Nested(PanelChoiceSchema, allow_none=True)


class CombinationSchema(Schema):
    """The class that is taken in, what each of the two is called as a division, and why."""

    other = Id(required=True, metadata={"description": "The id of the class that is taken in."})
    division = Line(60, required=True, metadata={"description": "What its entries ride as."})
    own_division = Line(
        60, required=True, metadata={"description": "What the entries of this class ride as."}
    )
    reason = Prose(required=True)


@blueprint.route("/cancel", methods=["POST"])
@blueprint.allows("office", "steward")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(ReasonSchema, example={"reason": "Only one entry came."})
@blueprint.response(200, ReceiptSchema, example=RECEIPT)
def cancel(body: dict[str, Any], class_id: str) -> Response:
    """Cancel a class before its results are posted.

    Its entries and cards stay readable and come to nothing: no placing becomes official, it earns
    no points, it takes no time in its ring, and nobody is sent on to a later round.
    """
    return _done(class_id, CancelClass(reason=body["reason"]))


@blueprint.route("/lift-cancellation", methods=["POST"])
@blueprint.allows("office", "steward")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(ReasonSchema, example={"reason": "The rain has stopped."})
@blueprint.response(200, ReceiptSchema, example=RECEIPT)
def lift_cancellation(body: dict[str, Any], class_id: str) -> Response:
    """Hold a cancelled class after all; it goes on where it was."""
    return _done(class_id, LiftCancellation(reason=body["reason"]))


@blueprint.route("/reschedule", methods=["POST"])
@blueprint.allows("office")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(
    RescheduleSchema,
    example={"day": "2026-05-10", "ring": "Lower ring", "reason": "The main ring is under water."},
)
@blueprint.response(200, ReceiptSchema, example=RECEIPT)
def reschedule(body: dict[str, Any], class_id: str) -> Response:
    """Rename or renumber a class, or move it to another ring or day.

    Until results are posted. Its turn in a ring's running order is moved at the show.
    """
    return acknowledged(classes.reschedule(desk(), command_ask(), class_id, ClassChange(**body)))


@blueprint.route("/panel", methods=["POST"])
@blueprint.allows("office")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(
    PanelChangeSchema,
    example={"panel": {"method": "sum"}, "reason": "The prize list asks for added scores."},
)
@blueprint.response(200, ReceiptSchema, example=RECEIPT)
def change_panel(body: dict[str, Any], class_id: str) -> Response:
    """Combine the judges in another way, before the first ride.

    Later only where the judges who are seated could not be combined as it was said.
    """
    command = ChangePanel(panel=panel_choice(body["panel"]), reason=body["reason"])
    return _done(class_id, command)


@blueprint.route("/seats/<id:seat>/unseat", methods=["POST"])
@blueprint.allows("office")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(ReasonSchema, example={"reason": "The judge was taken ill on the way."})
@blueprint.response(200, ReceiptSchema, example=RECEIPT)
def unseat(body: dict[str, Any], class_id: str, seat: str) -> Response:
    """Give up a seat on whose card nothing stands."""
    return _done(class_id, UnseatJudge(seat=seat, reason=body["reason"]))


@blueprint.route("/seats/<id:seat>/replace", methods=["POST"])
@blueprint.allows("office", "steward")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(
    ReplacementSchema, example={"judge": "p-baines", "reason": "The judge was taken ill."}
)
@blueprint.response(200, ReceiptSchema, example=RECEIPT)
def replace(body: dict[str, Any], class_id: str, seat: str) -> Response:
    """Let another judge fill the card from here on.

    What stood on it stands, each ride says who judged it, and results name both judges. Whether
    one card by two judges may count is for the rules in force and the steward to say.
    """
    return _done(class_id, ReplaceJudge(seat=seat, **body))


@blueprint.route("/seats/<id:seat>/close", methods=["POST"])
@blueprint.allows("office", "steward")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(
    SeatClosingSchema,
    examples={
        "the panel fits": {"value": {"reason": "The judge was taken ill."}},
        "the panel has to change": {
            "value": {"reason": "The judge was taken ill.", "panel": {"method": "sum"}}
        },
    },
)
@blueprint.response(200, ReceiptSchema, example=RECEIPT)
def close(body: dict[str, Any], class_id: str, seat: str) -> Response:
    """Let the panel go on without a judge.

    The card is kept as it was and counts for nothing.
    """
    panel = panel_choice(body.get("panel"))
    return _done(class_id, CloseSeat(seat=seat, reason=body["reason"], panel=panel))


@blueprint.route("/combine", methods=["POST"])
@blueprint.allows("office")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(
    CombinationSchema,
    example={
        "other": "ranch-reining-amateur",
        "division": "Amateur",
        "own_division": "Open",
        "reason": "Two entries in each.",
    },
)
@blueprint.response(200, ReceiptSchema, example=RECEIPT)
def combine(body: dict[str, Any], class_id: str) -> Response:
    """Take the entries of another class into this one, before the first ride in either.

    Each of the two is a division from then on, placed by itself as well. Whoever was entered in
    both with one horse rides once, in both divisions. Draw again afterwards.
    """
    done = combining.combine(desk(), command_ask(), class_id, Combination(**body))
    return acknowledged(done)


def _done(class_id: str, command: Command) -> Response:
    return acknowledged(classes.carry_out(desk(), command_ask(), class_id, command))
