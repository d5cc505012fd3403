"""What a steward's questions and their answers look like."""

from marshmallow import Schema, fields, validate

from service.http.action_kinds import FACTS
from service.http.action_schemas import fact_schema
from service.http.common import AtQuery, EntryRefSchema
from service.http.fields import Digits, Figure, Id, Moment, OneOfKinds, Points, Whole

WITNESS = {
    "version": 61,
    "event": "019a2f50-5f3e-7c11-9d55-0f1e2d3c4b5a",
    "key": "5b1c9f0e7a3d2468",
    "role": "steward",
    "seat": None,
    "device": None,
    "occurred_at": "2026-05-09T15:40:00.000000Z",
    "recorded_at": "2026-05-09T15:40:00.120000Z",
}
STANDING = {"total": 71.5, "outcome": None, "place": 2, "tied": False}
MOVED = {
    "seat": "A",
    "entry": "e-214",
    "back_number": 214,
    "before": STANDING,
    "after": STANDING | {"total": 74.5, "place": 1},
}


class WitnessSchema(Schema):
    """The event behind a fact: whose hand, which device, both times."""

    version = Whole(required=True)
    event = fields.String(required=True)
    key = fields.String(required=True)
    role = fields.String(required=True)
    seat = fields.String(required=True, allow_none=True)
    device = fields.String(required=True, allow_none=True)
    occurred_at = Moment(required=True)
    recorded_at = Moment(required=True)


class CardStandingSchema(Schema):
    """What an entry stood at on one card."""

    total = Points(required=True, allow_none=True)
    outcome = fields.String(required=True, allow_none=True)
    place = Whole(required=True, allow_none=True)
    tied = fields.Boolean(required=True)


class StandingChangeSchema(Schema):
    """An entry whose total, outcome or place is not the same at both moments."""

    seat = fields.String(required=True)
    entry = fields.String(required=True)
    back_number = Whole(required=True)
    before = fields.Nested(CardStandingSchema, required=True, allow_none=True)
    after = fields.Nested(CardStandingSchema, required=True, allow_none=True)


class PointsChangeSchema(Schema):
    """An entry that would earn other class points on a card; null where the table gives none."""

    seat = fields.String(required=True)
    entry = fields.String(required=True)
    back_number = Whole(required=True)
    before = Figure(required=True, allow_none=True)
    after = Figure(required=True, allow_none=True)


class FactChangeSchema(Schema):
    """One fact that came, went or changed, who moved it, and why if a reason was given."""

    kind = fields.String(required=True)
    seat = fields.String(required=True)
    entry = fields.String(required=True)
    item = fields.String(required=True)
    before = fields.Raw(required=True, allow_none=True)
    after = fields.Raw(required=True, allow_none=True)
    witness = fields.Nested(WitnessSchema, required=True, allow_none=True)
    reason = fields.String(required=True, allow_none=True)


class ComparisonSchema(Schema):
    """All that differs between two versions of a class."""

    earlier = Whole(required=True)
    later = Whole(required=True)
    changes = fields.List(fields.Nested(FactChangeSchema), required=True)
    moved = fields.List(fields.Nested(StandingChangeSchema), required=True)


class CompareQuery(Schema):
    """The two moments: a version or an RFC 3339 time each; without ``to``, now."""

    earlier = fields.String(
        required=True, data_key="from", validate=validate.Length(max=40), metadata={"example": "57"}
    )
    later = fields.String(data_key="to", validate=validate.Length(max=40))


class AddedFactSchema(EntryRefSchema):
    """A fact to suppose on the card of a seat."""

    seat = Id(required=True)
    fact = OneOfKinds({name: fact_schema(name) for name in FACTS}, required=True)


class WhatIfSchema(Schema):
    """Events to strike, by version, and facts to add; nothing of it is stored."""

    strike = fields.List(Whole(1), load_default=list, validate=validate.Length(max=500))
    points = fields.String(
        validate=validate.Length(min=1, max=80),
        metadata={"description": "A points table, to see what the class would earn by it."},
    )
    add = fields.List(
        fields.Nested(AddedFactSchema), load_default=list, validate=validate.Length(max=500)
    )


class SupposedRowSchema(Schema):
    """One entry's line on a seat's supposed placing."""

    entry = fields.String(required=True)
    back_number = Whole(required=True)
    place = Whole(required=True, allow_none=True)
    section = Whole(required=True, allow_none=True)
    tied = fields.Boolean(required=True)
    total = Points(required=True, allow_none=True)
    outcome = fields.String(required=True, allow_none=True)
    stale = fields.Boolean(required=True)


class SupposedSeatSchema(Schema):
    """A seat's placing as it would stand."""

    seat = fields.String(required=True)
    stale_orders = fields.List(fields.String(), required=True)
    rows = fields.List(fields.Nested(SupposedRowSchema), required=True)


class SupposedSchema(Schema):
    """A placing, whole."""

    class_size = Whole(required=True)
    seats = fields.List(fields.Nested(SupposedSeatSchema), required=True)


class TriedSchema(Schema):
    """The placing as it stands and as it would stand, and who would move."""

    version = Whole(required=True)
    before = fields.Nested(SupposedSchema, required=True)
    after = fields.Nested(SupposedSchema, required=True)
    moved = fields.List(fields.Nested(StandingChangeSchema), required=True)
    points = fields.List(fields.Nested(PointsChangeSchema), required=True)


class ExplainQuery(AtQuery):
    """Which entry, on which card."""

    seat = Id(required=True)
    entry = Id(metadata={"description": "The entry's id, or else one of its numbers."})
    back_number = Digits(1)
    working_order = Digits(1)


class TermSchema(Schema):
    """One term of a total and the event behind it."""

    kind = fields.String(required=True)
    says = fields.String(required=True)
    points = Points(required=True)
    witness = fields.Nested(WitnessSchema, required=True, allow_none=True)


class StepSchema(Schema):
    """Where the entry stood after one step of the placing."""

    step = fields.String(required=True)
    says = fields.String(required=True)
    place = Whole(required=True)
    tied = fields.Boolean(required=True)
    witnesses = fields.List(fields.Nested(WitnessSchema), required=True)


class ExplanationSchema(Schema):
    """Every term of a total and every step that gave a place; the terms add up to the total."""

    version = Whole(required=True)
    seat = fields.String(required=True)
    entry = fields.String(required=True)
    working_order = Whole(required=True, allow_none=True)
    back_number = Whole(required=True)
    total = Points(required=True, allow_none=True)
    place = Whole(required=True, allow_none=True)
    section = Whole(required=True, allow_none=True)
    tied = fields.Boolean(required=True)
    terms = fields.List(fields.Nested(TermSchema), required=True)
    steps = fields.List(fields.Nested(StepSchema), required=True)
    outcome = fields.String(required=True, allow_none=True)
    outcome_witness = fields.Nested(WitnessSchema, required=True, allow_none=True)
    missing = fields.List(fields.String(), required=True)


class FindingSchema(Schema):
    """Something that deserves a look, and the events behind it. It accuses nobody."""

    kind = fields.String(required=True)
    says = fields.String(required=True)
    seat = fields.String(required=True, allow_none=True)
    entry = fields.String(required=True, allow_none=True)
    versions = fields.List(Whole(), required=True)


class AuditSchema(Schema):
    """What in the log of a class deserves a look."""

    version = Whole(required=True)
    findings = fields.List(fields.Nested(FindingSchema), required=True)


class RingQuery(Schema):
    """A time of the devices' clocks."""

    at = Moment(required=True, metadata={"example": "2026-05-09T14:03:00Z"})


class RingStandingSchema(SupposedSchema):
    """The placing by what had happened in the ring, whenever the office learnt of it."""

    at = Moment(required=True)
    known_of = Whole(
        required=True, metadata={"description": "How many events the office knows of by now."}
    )
