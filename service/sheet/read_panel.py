"""Reads how the judges of a sheet are combined."""

from decimal import Decimal
from typing import cast, get_args

from events.rulebook.model import PanelChoice, PanelMethod, SeatShare, TieSeats
from service.sheet.part import Part
from service.sheet.values import Unreadable, choice, line, must_be, whole

_METHODS: tuple[str, ...] = get_args(PanelMethod)


def read_panel(part: Part) -> PanelChoice | None:
    """The panel's settings; ``None`` where there are none, or not readable ones."""
    if not part.given:
        return None
    keys = part.table(("method",), ("values", "weights", "call_judge", "tie_judge"))
    method = keys["method"].read(choice(_METHODS))
    values = [item.read(whole()) for item in keys["values"].items()]
    weights = [_weight(seat, item) for seat, item in keys["weights"].named()]
    call_judge = keys["call_judge"].read(line)
    tie_judge = _tie_judge(keys["tie_judge"])
    if method is None:
        return None
    return PanelChoice(
        method=cast("PanelMethod", method),
        values=tuple(value for value in values if value is not None),
        weights=tuple(weight for weight in weights if weight is not None),
        call_judges=() if call_judge is None else (call_judge,),
        tie_judge=tie_judge,
    )


def _tie_judge(part: Part) -> TieSeats | None:
    if not part.given:
        return None
    keys = part.table(("odd", "even"))
    odd, even = keys["odd"].read(line), keys["even"].read(line)
    return None if odd is None or even is None else TieSeats(odd=odd, even=even)


def _weight(seat: str, part: Part) -> SeatShare | None:
    weight = part.read(_decimal)
    return None if weight is None else SeatShare(seat=seat, weight=weight)


def _decimal(value: object) -> str:
    """A number above nought, as the text it is written as."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not value > 0:
        raise Unreadable(must_be("a weight above 0", value))
    return f"{Decimal(repr(value)):f}"
