"""The gate: scratches, calls, those who did not come and those who were excused."""

from typing import Any

from flask import Response

from events.judged_class.commands import (
    CallEntry,
    EntryRef,
    ExcuseEntry,
    RecordMissedGate,
    ScratchEntry,
)
from service.desk import classes
from service.http.api import Resource
from service.http.asking import command_ask
from service.http.class_schemas import CallSchema, PerhapsReasonSchema
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


def _done(
    class_id: str,
    entry: str,
    command: ScratchEntry | CallEntry | RecordMissedGate | ExcuseEntry,
) -> Response:
    return acknowledged(classes.carry_out(desk(), command_ask(), class_id, command, thing=entry))
