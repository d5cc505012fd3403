"""Cards: what each judge has written, at any moment, and giving one back to its judge."""

from typing import Any

import msgspec
from flask import Response
from marshmallow import Schema, fields

from events.judged_class.commands import ReopenCard
from service.desk import classes
from service.desk.look import card_of, cards_of, look
from service.http.api import Resource
from service.http.asking import command_ask
from service.http.class_schemas import ReasonSchema
from service.http.common import (
    RECEIPT,
    AtQuery,
    ReceiptSchema,
    acknowledged,
    moment,
)
from service.http.fields import Points, Whole
from service.http.guard import caller
from service.http.here import desk
from service.http.shown import PersonNamed, Words, show

blueprint = Resource(
    "cards", __name__, url_prefix="/v1/classes/<id:class_id>/cards", description=__doc__
)

RIDE = {
    "entry": "e-214",
    "working_order": 1,
    "back_number": 214,
    "marks": [
        {
            "maneuver": 1,
            "name": "Left circles",
            "mark": 1.5,
            "word": "excellent",
            "performed": None,
            "version": 12,
        }
    ],
    "penalties": [],
    "rider_mark": None,
    "rider_mark_version": None,
    "outcome": None,
    "observations": [],
    "total": 71.5,
    "complete": True,
    "carried": None,
    "milliseconds": None,
    "penalty_milliseconds": None,
    "time_version": None,
    "judges": [{"id": "p-ames", "name": "Judith Ames"}],
}
CARD = {
    "seat": "A",
    "judge": {"id": "p-ames", "name": "Judith Ames"},
    "kind": "judge",
    "signed": None,
    "rides": [RIDE],
    "orders": [],
    "placed": None,
    "called_back": None,
    "judges_before": [],
}


class MarkSchema(Schema):
    """The mark of one maneuver; all null while it is not given."""

    maneuver = Whole(required=True)
    name = fields.String(required=True)
    mark = Points(required=True, allow_none=True)
    word = fields.String(required=True, allow_none=True)
    performed = fields.String(required=True, allow_none=True)
    version = Whole(required=True, allow_none=True)


class PenaltySchema(Schema):
    """One occurrence of a penalty."""

    call = fields.String(required=True)
    maneuver = Whole(required=True, allow_none=True)
    points = Points(required=True)
    code = fields.String(required=True, allow_none=True)
    wording = fields.String(required=True, allow_none=True)
    version = Whole(required=True)


class OutcomeSchema(Schema):
    """An outcome other than a normal score."""

    kind = fields.String(required=True)
    wording = fields.String(required=True)
    maneuver = Whole(required=True, allow_none=True)
    reason = Words(required=True, allow_none=True)
    version = Whole(required=True)


class ObservationSchema(Schema):
    """A fault that was noted; it costs nothing by itself."""

    observation = fields.String(required=True)
    code = fields.String(required=True)
    part = fields.String(required=True)
    wording = fields.String(required=True)
    maneuver = Whole(required=True, allow_none=True)
    note = Words(required=True, allow_none=True)
    version = Whole(required=True)


class RideSchema(Schema):
    """One ride; each fact names the version of the event that put it there."""

    entry = fields.String(required=True)
    working_order = Whole(required=True, allow_none=True)
    back_number = Whole(required=True)
    marks = fields.List(fields.Nested(MarkSchema), required=True)
    penalties = fields.List(fields.Nested(PenaltySchema), required=True)
    rider_mark = Points(required=True, allow_none=True)
    rider_mark_version = Whole(required=True, allow_none=True)
    outcome = fields.Nested(OutcomeSchema, required=True, allow_none=True)
    observations = fields.List(fields.Nested(ObservationSchema), required=True)
    total = Points(required=True, allow_none=True, attribute="score.total")
    complete = fields.Boolean(required=True, attribute="score.complete")
    carried = Points(
        required=True,
        allow_none=True,
        metadata={"description": "What the entry brought from the round before."},
    )
    milliseconds = Whole(required=True, allow_none=True)
    penalty_milliseconds = Whole(required=True, allow_none=True)
    time_version = Whole(required=True, allow_none=True)
    judges = fields.List(
        PersonNamed(),
        required=True,
        metadata={"description": "Who judged it, in turn; more than one where one took over."},
    )


class BasisSchema(Schema):
    """What one entry stood at when an order was set or confirmed."""

    entry = fields.String(required=True)
    total = Points(required=True, allow_none=True)
    outcome = fields.String(required=True, allow_none=True)
    milliseconds = Whole(required=True, allow_none=True)


class OrderSchema(Schema):
    """An order that stands on the card, best first."""

    order_id = fields.String(required=True)
    by = fields.String(required=True)
    order = fields.List(fields.String(), required=True)
    basis = fields.List(fields.Nested(BasisSchema), required=True)
    reason = Words(required=True, allow_none=True)
    version = Whole(required=True)
    confirmed = Whole(required=True, allow_none=True)


class CardSchema(Schema):
    """One seat's card; ``signed`` is the version of the signature that stands."""

    seat = fields.String(required=True)
    judge = PersonNamed(required=True)
    kind = fields.String(required=True)
    signed = Whole(required=True, allow_none=True)
    rides = fields.List(fields.Nested(RideSchema), required=True)
    orders = fields.List(fields.Nested(OrderSchema), required=True)
    placed = fields.List(
        fields.String(),
        required=True,
        allow_none=True,
        metadata={"description": "Entries as placed without scores, best first."},
    )
    called_back = fields.List(
        fields.String(),
        required=True,
        allow_none=True,
        metadata={"description": "Entries to be seen again in the next round."},
    )
    judges_before = fields.List(
        PersonNamed(),
        required=True,
        metadata={"description": "Judges who filled the card before this one."},
    )


class OneCardSchema(CardSchema):
    """A card at a class version."""

    version = Whole(required=True)


class CardsSchema(Schema):
    """The cards of a class at a version."""

    version = Whole(required=True)
    cards = fields.List(fields.Nested(CardSchema), required=True)


@blueprint.route("", methods=["GET"])
@blueprint.allows("office", "scribe", "steward", "federation")
@blueprint.reads
@blueprint.refuses(404, 422)
@blueprint.arguments(AtQuery, location="query")
@blueprint.response(200, CardsSchema, example={"version": 17, "cards": [CARD]})
def read_cards(query: dict[str, Any], class_id: str) -> Response:
    """Read the cards that are open to the key.

    A scribe sees the judge's own card, and the others once results are posted. Free text is for
    the office and the steward, and for a scribe on the judge's own card.
    """
    seen = look(desk(), caller(), class_id, moment(query))
    document = {"version": seen.version, "cards": cards_of(seen)}
    return show(CardsSchema(), document, version=seen.version, names=seen.names)


@blueprint.route("/<id:seat>", methods=["GET"])
@blueprint.allows("office", "scribe", "steward", "federation")
@blueprint.reads
@blueprint.refuses(404, 422)
@blueprint.arguments(AtQuery, location="query")
@blueprint.response(200, OneCardSchema, example=CARD | {"version": 17})
def read_card(query: dict[str, Any], class_id: str, seat: str) -> Response:
    """Read one card."""
    seen = look(desk(), caller(), class_id, moment(query))
    card = card_of(seen, seat)
    document = msgspec.structs.asdict(card) | {"version": seen.version}
    return show(OneCardSchema(), document, version=seen.version, names=seen.names)


@blueprint.route("/<id:seat>/reopen", methods=["POST"])
@blueprint.allows("office", "steward")
@blueprint.commands
@blueprint.refuses(404)
@blueprint.arguments(ReasonSchema, example={"reason": "The judge signed the wrong card."})
@blueprint.response(200, ReceiptSchema, example=RECEIPT)
def reopen_card(body: dict[str, Any], class_id: str, seat: str) -> Response:
    """Give a signed card back to its judge.

    Only before results are posted; afterwards a signed card changes by corrections.
    """
    command = ReopenCard(seat=seat, reason=body["reason"])
    return acknowledged(classes.carry_out(desk(), command_ask(), class_id, command))
