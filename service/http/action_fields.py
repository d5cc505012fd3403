"""What each kind of judge action carries besides its envelope."""

from typing import Any

from marshmallow import Schema, fields, validate

from service.http.common import EntryRefSchema
from service.http.fields import Id, Points, Prose, Whole

OUTCOMES = (
    "off_pattern",
    "severe_fault",
    "zero",
    "no_score",
    "disqualified",
    "excused",
    "missed_gate",
)
AUTHORITIES = ("judge", "office_error", "ruling")
ORDERED_BY = ("rail_work", "run_off", "judges_decision")


class Maneuver(Whole):
    """A maneuver of the pattern, counted from 1."""

    def __init__(self, **options: Any) -> None:  # noqa: ANN401 - as every field takes them
        super().__init__(1, 100, **options)


class MarkFields(Schema):
    """A mark for one maneuver."""

    maneuver = Maneuver(required=True)
    mark = Points(required=True)
    performed = Id(metadata={"description": "The lesser way it was performed in (a cap's code)."})


class PenaltyFields(Schema):
    """One occurrence of a penalty, by code, by points, or by both."""

    call = Id(metadata={"description": "An id for this occurrence; else the action's own id."})
    code = Id()
    points = Points()
    maneuver = Maneuver()


class CallFields(Schema):
    """Which occurrence of a penalty."""

    call = Id(required=True)


class RiderMarkFields(Schema):
    """The rider's own mark, such as form and effectiveness."""

    mark = Points(required=True)


class OutcomeFields(Schema):
    """Something other than a normal score."""

    outcome = fields.String(required=True, validate=validate.OneOf(OUTCOMES))
    maneuver = Maneuver()
    reason = Prose()


class ObservationFields(Schema):
    """A fault of position or performance that was noted."""

    observation = Id(metadata={"description": "An id for it; else the action's own id."})
    code = Id(required=True)
    maneuver = Maneuver()
    note = Prose()


class OrderFields(Schema):
    """Entries in the judge's order, best first."""

    order_id = Id(metadata={"description": "An id for the order; else the action's own id."})
    order = fields.List(
        fields.Nested(EntryRefSchema), required=True, validate=validate.Length(min=1, max=1000)
    )
    by = fields.String(load_default="rail_work", validate=validate.OneOf(ORDERED_BY))
    reason = Prose()
    authority = fields.String(
        validate=validate.OneOf(AUTHORITIES),
        metadata={"description": "On whose word, once results had been official."},
    )
    protest = Id(metadata={"description": "The upheld protest that a ruling rests on."})


class WhichObservationFields(Schema):
    """Which noted fault."""

    observation = Id(required=True)


class WhichManeuverFields(Schema):
    """Which maneuver."""

    maneuver = Maneuver(required=True)


class TimeFields(Schema):
    """A ride's time, and what penalties add to it."""

    milliseconds = Whole(1, required=True)
    penalty_milliseconds = Whole(load_default=0)


class PlaceFields(Schema):
    """Entries placed without scores, best first; on a signed card with a reason."""

    order = fields.List(
        fields.Nested(EntryRefSchema), required=True, validate=validate.Length(min=1, max=1000)
    )
    reason = Prose()
    authority = fields.String(
        validate=validate.OneOf(AUTHORITIES),
        metadata={"description": "On whose word, once results had been official."},
    )
    protest = Id(metadata={"description": "The upheld protest that a ruling rests on."})


class CallBackFields(Schema):
    """The entries to see again in the next round."""

    entries = fields.List(
        fields.Nested(EntryRefSchema), required=True, validate=validate.Length(min=1, max=1000)
    )


class HorseFields(Schema):
    """Another horse than entered, and why."""

    horse = Id(required=True, metadata={"description": "The id of a registered horse."})
    reason = Prose()


class OrderIdFields(Schema):
    """Which order."""

    order_id = Id(required=True)


class GateCallFields(Schema):
    """Which call to the gate it is."""

    call = Whole(1, 9, required=True)


class ReasonFields(Schema):
    """Why, if it is said."""

    reason = Prose()


class GivenReasonFields(Schema):
    """Why."""

    reason = Prose(required=True)


class ReadmissionFields(GivenReasonFields):
    """Why, and once results were posted on whose word."""

    authority = fields.String(
        validate=validate.OneOf(AUTHORITIES),
        metadata={"description": "On whose word, once results were posted."},
    )
    protest = Id(metadata={"description": "The upheld protest that a ruling rests on."})


class ReinstatementFields(GivenReasonFields):
    """Why, and whether the office had erred."""

    office_error = fields.Boolean(
        load_default=False,
        truthy={True},
        falsy={False},
        metadata={"description": "The office had scratched it by mistake; no deadline holds."},
    )


class NoFields(Schema):
    """Nothing further."""
