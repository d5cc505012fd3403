"""Protests: filed, taken back, ruled on, and read."""

from typing import Any

from flask import Response
from marshmallow import Schema, fields, validate

from events.judged_class.commands import FileProtest, RuleProtest, WithdrawProtest
from events.judged_class.state import Protest
from events.refusals import Refusal
from service.desk import classes
from service.desk.look import ClassLook, look
from service.http.api import Resource
from service.http.asking import command_ask
from service.http.common import (
    RECEIPT,
    AtQuery,
    EntryRefSchema,
    ReceiptSchema,
    acknowledged,
    entry_ref,
    moment,
)
from service.http.fields import Id, Prose, Whole
from service.http.guard import caller
from service.http.here import desk
from service.http.shown import PersonNamed, Words, show

blueprint = Resource(
    "protests", __name__, url_prefix="/v1/classes/<id:class_id>/protests", description=__doc__
)

STANDINGS = ("open", "withdrawn", "upheld", "denied")
PROTEST = {
    "protest": "pr-1",
    "filed_by": {"id": "p-lind", "name": "Karin Lind"},
    "ground": "arithmetic",
    "statement": "The third maneuver was added up twice.",
    "entry": "e-214",
    "seat": "A",
    "versions": [],
    "fee_paid": True,
    "standing": "open",
    "filed": 61,
    "ruled": None,
    "reason": None,
}
DONE = RECEIPT | {"id": "pr-1"}


class NewProtestSchema(EntryRefSchema):
    """A protest against the class, or narrowed to an entry, a seat, or events by version."""

    protest = Id(metadata={"description": "An id of your choice; without it one is made."})
    filed_by = Id(required=True, metadata={"description": "The id of a registered person."})
    ground = fields.String(
        required=True,
        validate=validate.Length(min=1, max=64),
        metadata={"description": "A ground of the rule book."},
    )
    statement = Prose(10_000, required=True)
    seat = Id()
    versions = fields.List(Whole(1), validate=validate.Length(max=500))
    fee_paid = fields.Boolean(truthy={True}, falsy={False}, load_default=False)


class RulingSchema(Schema):
    """The steward's ruling and its reason."""

    verdict = fields.String(required=True, validate=validate.OneOf(("upheld", "denied")))
    reason = Prose(10_000, required=True)


class ProtestSchema(Schema):
    """A protest; ``filed`` and ``ruled`` are the versions at which that happened."""

    protest = fields.String(required=True)
    filed_by = PersonNamed(required=True)
    ground = fields.String(required=True)
    statement = Words(required=True)
    entry = fields.String(required=True, allow_none=True)
    seat = fields.String(required=True, allow_none=True)
    versions = fields.List(Whole(), required=True)
    fee_paid = fields.Boolean(required=True)
    standing = fields.String(required=True, validate=validate.OneOf(STANDINGS))
    filed = Whole(required=True)
    ruled = Whole(required=True, allow_none=True)
    reason = Words(required=True, allow_none=True)


class ProtestListSchema(Schema):
    """The protests of a class at a version, oldest first."""

    version = Whole(required=True)
    items = fields.List(fields.Nested(ProtestSchema), required=True)


@blueprint.route("", methods=["GET"])
@blueprint.allows("office", "steward")
@blueprint.reads
@blueprint.refuses(404, 422)
@blueprint.arguments(AtQuery, location="query")
@blueprint.response(200, ProtestListSchema, example={"version": 61, "items": [PROTEST]})
def list_protests(query: dict[str, Any], class_id: str) -> Response:
    """List the protests of a class."""
    seen = look(desk(), caller(), class_id, moment(query))
    items = [_document(name, each) for name, each in seen.state.protests.items()]
    document = {"version": seen.version, "items": items}
    return show(ProtestListSchema(), document, version=seen.version, names=seen.names)


@blueprint.route("", methods=["POST"])
@blueprint.allows("office", "steward")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(
    NewProtestSchema,
    example={
        "protest": "pr-1",
        "filed_by": "p-lind",
        "ground": "arithmetic",
        "statement": "The third maneuver was added up twice.",
        "back_number": 214,
        "seat": "A",
        "fee_paid": True,
    },
)
@blueprint.response(201, ReceiptSchema, example=DONE)
def file_protest(body: dict[str, Any], class_id: str) -> Response:
    """Take a protest in.

    On a ground that the rule book lets be protested, in time, and with its fee.
    """
    ask = command_ask()
    ref = entry_ref(body)
    name = body.pop("protest", None) or ask.made_id()
    command = FileProtest(
        protest=name,
        ref=None if ref == type(ref)() else ref,
        versions=tuple(body.pop("versions", ())),
        **body,
    )
    done = classes.carry_out(desk(), ask, class_id, command, thing=name)
    return acknowledged(done, 201, location=f"/v1/classes/{class_id}/protests/{name}")


@blueprint.route("/<id:protest>", methods=["GET"])
@blueprint.allows("office", "steward")
@blueprint.reads
@blueprint.refuses(404, 422)
@blueprint.arguments(AtQuery, location="query")
@blueprint.response(200, ProtestSchema, example=PROTEST)
def read_protest(query: dict[str, Any], class_id: str, protest: str) -> Response:
    """Read a protest."""
    seen = look(desk(), caller(), class_id, moment(query))
    document = _document(protest, _known(seen, protest))
    return show(ProtestSchema(), document, version=seen.version, names=seen.names)


@blueprint.route("/<id:protest>/withdraw", methods=["POST"])
@blueprint.allows("office", "steward")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.response(200, ReceiptSchema, example=DONE)
def withdraw_protest(class_id: str, protest: str) -> Response:
    """Take a protest back."""
    command = WithdrawProtest(protest=protest)
    done = classes.carry_out(desk(), command_ask(), class_id, command, thing=protest)
    return acknowledged(done)


@blueprint.route("/<id:protest>/rule", methods=["POST"])
@blueprint.allows("steward")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(
    RulingSchema, example={"verdict": "upheld", "reason": "The card adds up to 71.5, not 73."}
)
@blueprint.response(200, ReceiptSchema, example=DONE)
def rule_protest(body: dict[str, Any], class_id: str, protest: str) -> Response:
    """Uphold or deny a protest.

    An upheld one lets the steward reopen results and correct cards on its strength.
    """
    command = RuleProtest(protest=protest, **body)
    done = classes.carry_out(desk(), command_ask(), class_id, command, thing=protest)
    return acknowledged(done)


def _known(seen: ClassLook, protest: str) -> Protest:
    known = seen.state.protests.get(protest)
    if known is None:
        raise Refusal(
            "unknown_protest", f"No protest had the id {protest} at that moment.", protest=protest
        )
    return known


def _document(name: str, of: Protest) -> dict[str, Any]:
    filed, ruled = of.filed.event, of.ruled
    standing = "open" if of.is_open else "withdrawn"
    return {
        "protest": name,
        "filed_by": filed.filed_by,
        "ground": filed.ground,
        "statement": filed.statement,
        "entry": filed.entry,
        "seat": filed.seat,
        "versions": filed.versions,
        "fee_paid": filed.fee_paid,
        "standing": standing if ruled is None else ruled.event.verdict,
        "filed": of.filed.version,
        "ruled": ruled and ruled.version,
        "reason": ruled and ruled.event.reason,
    }
