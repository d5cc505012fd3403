"""How papers say things: times on the show's own clock, points, places and outcomes."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

import msgspec

from events.half_points import HalfPoints, to_text
from events.rulebook.model import PanelMethod, RuleBook

MINUS = "\u2212"
NO_PLACE = "\u2013"
_STEPS = {
    "rail_work": "rail work",
    "fewest_penalty_points": "fewest penalty points",
    "call_judge": "the call judge's card",
    "run_off": "a run-off",
    "judges_decision": "the judge's decision",
}
METHODS: dict[PanelMethod, str] = {
    "separate": "each judge's placing is a result of its own",
    "sum": "sum of the totals",
    "mean": "mean of the totals",
    "drop_high_low_sum": "sum of the totals without the highest and the lowest",
    "placing_values": "values of the places",
    "weighted": "totals weighted by judge",
    "majority": "places by majority",
}


class Clock(msgspec.Struct, frozen=True):
    """The clock that hangs at the show."""

    zone: ZoneInfo

    def moment(self, at: datetime) -> str:
        """A day and a time: ``9 May 2026, 14:03 CDT``."""
        local = at.astimezone(self.zone)
        return f"{local.day} {local:%B %Y, %H:%M %Z}"

    def second(self, at: datetime) -> str:
        """A day and a time to the second: ``2026-05-09 14:03:07``."""
        return f"{at.astimezone(self.zone):%Y-%m-%d %H:%M:%S}"

    def time(self, at: datetime) -> str:
        """The time alone: ``14:03``."""
        return f"{at.astimezone(self.zone):%H:%M}"


def day_words(day: date) -> str:
    """A day: ``Saturday 9 May 2026``."""
    return f"{day:%A} {day.day} {day:%B %Y}"


def points(half: HalfPoints | None, *, signed: bool = False) -> str:
    """Points with a true minus sign; nothing where there are none."""
    return "" if half is None else to_text(half, signed=signed).replace("-", MINUS)


def seconds(milliseconds: int | None) -> str:
    """A time to the thousandth of a second; nothing where there is none."""
    return "" if milliseconds is None else f"{milliseconds // 1000}.{milliseconds % 1000:03}"


def place_words(place: int | None, *, tied: bool) -> str:
    """A place, with ``=`` where it is shared."""
    return NO_PLACE if place is None else f"{place}{'=' if tied else ''}"


def outcome_words(kind: str) -> str:
    """An outcome as the trade says it: ``off pattern``."""
    return kind.replace("_", " ")


def step_words(step: str, book: RuleBook) -> str:
    """What settled a place, as it follows on ``settled by``."""
    if step == "rider_mark" and book.scale.rider_mark is not None:
        return book.scale.rider_mark.name.lower()
    if step == "named_maneuver":
        named = [tie.maneuver for tie in book.ties if tie.step == step and tie.maneuver]
        return f"the mark for {' or '.join(named)}"
    return _STEPS.get(step, step.replace("_", " "))
