"""Results: posted, made official, reopened; and corrections of signed cards."""

from typing import Any

from flask import Response
from marshmallow import Schema, fields, validate

from events.judged_class.commands import (
    EntryRef,
    MakeCorrection,
    MakeOfficial,
    PostResults,
    ReopenResults,
)
from service.desk import classes
from service.http.action_fields import AUTHORITIES
from service.http.action_kinds import FACTS, Whereabouts, fact_command
from service.http.action_schemas import fact_schema, split
from service.http.api import Resource
from service.http.asking import command_ask
from service.http.common import RECEIPT, EntryRefSchema, ReceiptSchema, acknowledged
from service.http.facts import fact_fields
from service.http.fields import Id, OneOfKinds, Prose, Whole
from service.http.here import desk

blueprint = Resource(
    "results", __name__, url_prefix="/v1/classes/<id:class_id>", description=__doc__
)


class EarlySchema(Schema):
    """Why it is not waited until the time for protests is over."""

    reason = Prose(allow_none=True)


class ReopeningSchema(Schema):
    """On whose word official results are opened again, and why."""

    authority = fields.String(required=True, validate=validate.OneOf(AUTHORITIES))
    reason = Prose(required=True)
    protest = Id(metadata={"description": "The upheld protest that a ruling rests on."})


class CorrectionSchema(EntryRefSchema):
    """One fact of a signed card, replaced by another, taken away, or added.

    `replaces` is the version that the card shows beside the fact; `fact` is what should have been
    there, with the fields of the action of that kind.
    """

    correction = Id(metadata={"description": "An id of your choice; without it one is made."})
    seat = Id(required=True)
    authority = fields.String(required=True, validate=validate.OneOf(AUTHORITIES))
    reason = Prose(required=True)
    replaces = Whole(1)
    fact = OneOfKinds({name: fact_schema(name) for name in FACTS})
    protest = Id(metadata={"description": "The upheld protest that a ruling rests on."})


@blueprint.route("/results/post", methods=["POST"])
@blueprint.allows("office")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.response(200, ReceiptSchema, example=RECEIPT)
def post_results(class_id: str) -> Response:
    """Post the results as the next revision.

    Once every judge has signed. Protests are taken in from here on, as the rule book says.
    """
    return acknowledged(classes.carry_out(desk(), command_ask(), class_id, PostResults()))


@blueprint.route("/results/make-official", methods=["POST"])
@blueprint.allows("office", "steward")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(
    EarlySchema, example={"reason": "All three riders have seen the cards and gone home."}
)
@blueprint.response(200, ReceiptSchema, example=RECEIPT)
def make_official(body: dict[str, Any], class_id: str) -> Response:
    """Make the posted results official.

    Not while a protest is open, an order is stale, or something has changed since the posting.
    Before the time for protests is over it takes a reason, and the rule book says whose.
    """
    command = MakeOfficial(reason=body.get("reason"))
    return acknowledged(classes.carry_out(desk(), command_ask(), class_id, command))


@blueprint.route("/results/reopen", methods=["POST"])
@blueprint.allows("office", "steward")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(
    ReopeningSchema,
    example={"authority": "office_error", "reason": "Two back numbers were read as one."},
)
@blueprint.response(200, ReceiptSchema, example=RECEIPT)
def reopen_results(body: dict[str, Any], class_id: str) -> Response:
    """Open official results again, on a ruling or for an error of the office."""
    command = ReopenResults(**body)
    return acknowledged(classes.carry_out(desk(), command_ask(), class_id, command))


@blueprint.route("/corrections", methods=["POST"])
@blueprint.allows("office", "steward")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(
    CorrectionSchema,
    example={
        "seat": "A",
        "back_number": 214,
        "authority": "judge",
        "reason": "The scribe heard minus one half for one half.",
        "replaces": 12,
        "fact": {"kind": "mark", "maneuver": 1, "mark": 0.5},
    },
)
@blueprint.response(201, ReceiptSchema, example=RECEIPT | {"id": "c-1"})
def correct(body: dict[str, Any], class_id: str) -> Response:
    """Correct a signed card.

    The earlier fact stays in the log; what is derived follows by itself.
    """
    ask = command_ask()
    fact = body.pop("fact", None)
    seat, named = split(body)
    correction = body.pop("correction", None) or ask.made_id()
    at = Whereabouts(seat=seat or "", ref=EntryRef(**named), own_id=correction)
    command = MakeCorrection(
        correction=correction,
        seat=at.seat,
        ref=at.ref,
        fact=None if fact is None else fact_command(at, *fact_fields(fact, "fact")),
        **body,
    )
    done = classes.carry_out(desk(), ask, class_id, command, thing=correction)
    return acknowledged(done, 201)
