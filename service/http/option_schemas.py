"""How a class's judges are combined, and which round of a larger class it is."""

from collections.abc import Mapping
from typing import Any

from marshmallow import Schema, fields, validate

from events.judged_class.events import ClassRound
from events.rulebook.model import PanelChoice, SeatShare, TieSeats
from service.http.fields import Id, Line, Whole

METHODS = (
    "separate",
    "sum",
    "mean",
    "drop_high_low_sum",
    "placing_values",
    "weighted",
    "majority",
)
ROUNDS = ("preliminary", "go_round", "semi_final", "final")


class ShareSchema(Schema):
    """How much one seat weighs."""

    seat = Id(required=True)
    weight = Line(12, required=True, metadata={"description": "A decimal number, such as 0.3."})


class TieSeatsSchema(Schema):
    """The seats whose cards part ties in classes of odd and of even number."""

    odd = Id(required=True)
    even = Id(required=True)


class PanelChoiceSchema(Schema):
    """How the judges are combined, where it is not left to the rule book.

    `values` are those of the places, first place first; `weights` are for a weighted panel. Ties
    are parted by call judges in turn, or by a tie judge, not by both.
    """

    method = fields.String(required=True, validate=validate.OneOf(METHODS))
    values = fields.List(Whole(0, 100_000), validate=validate.Length(max=200))
    weights = fields.List(fields.Nested(ShareSchema), validate=validate.Length(max=40))
    call_judges = fields.List(Id(), validate=validate.Length(max=40))
    tie_judge = fields.Nested(TieSeatsSchema, allow_none=True)


class RoundSchema(Schema):
    """Which round it is, and the class whose round came before; totals are carried if it says."""

    kind = fields.String(required=True, validate=validate.OneOf(ROUNDS))
    after = Id(allow_none=True, metadata={"description": "The class of the round before."})
    carries = fields.Boolean(load_default=False, truthy={True}, falsy={False})


def panel_choice(given: Mapping[str, Any] | None) -> PanelChoice | None:
    """The choice that a body holds."""
    if given is None:
        return None
    tie = given.get("tie_judge")
    return PanelChoice(
        method=given["method"],
        values=tuple(given.get("values", ())),
        weights=tuple(SeatShare(**each) for each in given.get("weights", ())),
        call_judges=tuple(given.get("call_judges", ())),
        tie_judge=TieSeats(**tie) if tie else None,
    )


def class_round(given: Mapping[str, Any] | None) -> ClassRound | None:
    """The round that a body holds."""
    return None if given is None else ClassRound(**given)
