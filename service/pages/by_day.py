"""A show's classes by day and ring, in the order in which they are held."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, time
from typing import NamedTuple

from events.judged_class.state import ClassState, Phase
from events.show.state import ShowState

UNDER_WAY: Sequence[Phase] = ("running", "posted", "reopened")
_LATE = time.max


class Listed(NamedTuple):
    """A class, its place in the programme, and from when on it may begin.

    ``within`` is the number or name of the class that it was combined with, and is held in.
    """

    id: str
    state: ClassState
    day: date | None
    ring: str | None
    slot: int
    begins: time | None
    within: str | None = None


class Ring(NamedTuple):
    """What is held in a ring on a day; ``ring`` is ``None`` where no ring is named yet."""

    ring: str | None
    classes: tuple[Listed, ...]


class Day(NamedTuple):
    """A day's rings; ``day`` is ``None`` for what has no day yet.

    ``held`` counts the classes that were not cancelled, ``official`` those that are official.
    """

    day: date | None
    rings: tuple[Ring, ...]
    held: int
    official: int


class Listing(NamedTuple):
    """The days, what is under way on any of them, and how many classes stand at each stage."""

    days: tuple[Day, ...]
    under_way: tuple[Listed, ...]
    stages: tuple[tuple[str, int], ...]

    def shown_day(self, asked: str, today: date) -> date | None:
        """The day to show: the one asked for, else today, else the first; ``None`` for no day."""
        days = {str(each.day or "none"): each.day for each in self.days}
        if asked in days:
            return days[asked]
        return days.get(str(today), next(iter(days.values()), None))


def listing(show: ShowState, classes: Iterable[tuple[str, ClassState]]) -> Listing:
    """The classes of a show as a visitor looks for them."""
    known = dict(classes)
    listed = sorted((_listed(show, name, known) for name in known), key=_order)
    days = {each.day for each in listed}
    stages = Counter(each.state.phase for each in listed)
    return Listing(
        days=tuple(
            _day(show, day, listed) for day in sorted(days, key=lambda day: day or date.max)
        ),
        under_way=tuple(each for each in listed if each.state.phase in UNDER_WAY),
        stages=tuple((phase, stages[phase]) for phase in _STAGES if stages[phase]),
    )


_STAGES: Sequence[Phase] = ("official", *UNDER_WAY, "planned", "cancelled")


def _listed(show: ShowState, name: str, known: Mapping[str, ClassState]) -> Listed:
    slot, state = show.slots.get(name), known[name]
    into = state.cancelled.into if state.cancelled else None
    within = _called(into, known) if into else None
    if slot is not None:
        return Listed(name, state, slot.day, slot.ring, slot.slot, slot.not_before, within)
    planned = state.scheduled
    day, ring = (planned.day, planned.ring) if planned else (None, None)
    return Listed(name, state, day, ring, 0, None, within)


def _called(name: str, known: Mapping[str, ClassState]) -> str:
    planned = known[name].scheduled if name in known else None
    if planned is None:
        return name
    return planned.name if planned.number is None else f"class {planned.number}"


def _order(each: Listed) -> tuple[date, int, time, int]:
    number = each.state.scheduled.number if each.state.scheduled else None
    return (each.day or date.max, each.slot, each.begins or _LATE, number or 0)


def _day(show: ShowState, day: date | None, listed: Sequence[Listed]) -> Day:
    here = [each for each in listed if each.day == day]
    rings = [*show.rings, None]
    return Day(
        day=day,
        rings=tuple(
            Ring(ring, found)
            for ring in rings
            if (found := tuple(each for each in here if each.ring == ring))
        ),
        held=sum(each.state.phase != "cancelled" for each in here),
        official=sum(each.state.phase == "official" for each in here),
    )
