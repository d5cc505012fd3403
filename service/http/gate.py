"""The gate: scratches, calls, who did not come, was excused, rode out of order or rides again."""

from typing import Any

from flask import Response

from events.envelope import Command
from events.judged_class.commands import (
    CallEntry,
    EntryRef,
    ExcuseEntry,
    GrantReride,
    ReadmitEntry,
    RecordMissedGate,
    RecordOutOfOrder,
    ReinstateEntry,
    ScratchEntry,
)
from service.desk import classes
from service.http.action_fields import ReadmissionFields, ReinstatementFields
from service.http.api import Resource
from service.http.asking import command_ask
from service.http.class_schemas import CallSchema, PerhapsReasonSchema, ReasonSchema
from service.http.common import RECEIPT, ReceiptSchema, acknowledged
from service.http.here import desk

blueprint = Resource(
    "gate",
    __name__,
    url_prefix="/v1/classes/<id:class_id>/entries/<id:entry>",
    description=__doc__,
)
DONE = RECEIPT | {"id": "e-214"}


@blueprint.route("/scratch", methods=["POST"])
@blueprint.allows("office", "steward")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(PerhapsReasonSchema, example={"reason": "The horse is lame."})
@blueprint.response(200, ReceiptSchema, example=DONE)
def scratch(body: dict[str, Any], class_id: str, entry: str) -> Response:
    """Scratch an entry before it is judged.

    A scratched entry does not count in the class size.
    """
    command = ScratchEntry(ref=EntryRef(entry=entry), reason=body.get("reason"))
    return _done(class_id, entry, command)


@blueprint.route("/calls", methods=["POST"])
@blueprint.allows("office", "steward")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(CallSchema, example={"call": 1})
@blueprint.response(200, ReceiptSchema, example=DONE)
def call(body: dict[str, Any], class_id: str, entry: str) -> Response:
    """Call an entry to the gate for the first, second or third time."""
    return _done(class_id, entry, CallEntry(ref=EntryRef(entry=entry), call=body["call"]))


@blueprint.route("/missed-gate", methods=["POST"])
@blueprint.allows("office", "steward")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.response(200, ReceiptSchema, example=DONE)
def miss_gate(class_id: str, entry: str) -> Response:
    """Record that an entry did not come when called."""
    return _done(class_id, entry, RecordMissedGate(ref=EntryRef(entry=entry)))


@blueprint.route("/excused", methods=["POST"])
@blueprint.allows("office", "steward")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(PerhapsReasonSchema, example={"reason": "The rider felt unwell."})
@blueprint.response(200, ReceiptSchema, example=DONE)
def excuse(body: dict[str, Any], class_id: str, entry: str) -> Response:
    """Let an entry out of the class, or send it out, also in the middle of its ride."""
    command = ExcuseEntry(ref=EntryRef(entry=entry), reason=body.get("reason"))
    return _done(class_id, entry, command)


@blueprint.route("/out-of-order", methods=["POST"])
@blueprint.allows("office", "steward")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.response(200, ReceiptSchema, example=DONE)
def ride_out_of_order(class_id: str, entry: str) -> Response:
    """Record that an entry rode when it was another's turn.

    What becomes of the ride is for its judge to call, by the rule book.
    """
    return _done(class_id, entry, RecordOutOfOrder(ref=EntryRef(entry=entry)))


@blueprint.route("/re-ride", methods=["POST"])
@blueprint.allows("office", "steward")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(ReasonSchema, example={"reason": "A gate blew open in front of the horse."})
@blueprint.response(200, ReceiptSchema, example=DONE)
def ride_again(body: dict[str, Any], class_id: str, entry: str) -> Response:
    """Let an entry ride again while every judge's card is open.

    Nothing of its first ride counts, and it is called to the gate anew.
    """
    command = GrantReride(ref=EntryRef(entry=entry), reason=body["reason"])
    return _done(class_id, entry, command)


@blueprint.route("/readmit", methods=["POST"])
@blueprint.allows("office", "steward")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(
    ReadmissionFields,
    examples={
        "before results are posted": {"value": {"reason": "It was called under another number."}},
        "after a ruling": {
            "value": {
                "reason": "The gate was closed a minute early.",
                "authority": "ruling",
                "protest": "p-1",
            }
        },
    },
)
@blueprint.response(200, ReceiptSchema, example=DONE)
def readmit(body: dict[str, Any], class_id: str, entry: str) -> Response:
    """Undo a missed gate or an excuse that was wrong.

    The entry stands as it did before, with everything on the judges' cards. Once results were
    posted it takes the judge's word, an error of the office, or a ruling.
    """
    return _done(class_id, entry, ReadmitEntry(ref=EntryRef(entry=entry), **body))


@blueprint.route("/reinstate", methods=["POST"])
@blueprint.allows("office", "steward")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(
    ReinstatementFields,
    example={"reason": "Another rider of that name had scratched.", "office_error": True},
)
@blueprint.response(200, ReceiptSchema, example=DONE)
def reinstate(body: dict[str, Any], class_id: str, entry: str) -> Response:
    """Undo a scratch.

    As long as the show takes entries, or at any time before results are posted where the office
    had erred. Where the draw was changed meanwhile, repair it to give the entry its place.
    """
    return _done(class_id, entry, ReinstateEntry(ref=EntryRef(entry=entry), **body))


def _done(class_id: str, entry: str, command: Command) -> Response:
    return acknowledged(classes.carry_out(desk(), command_ask(), class_id, command, thing=entry))
