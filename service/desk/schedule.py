"""A show's days at the desk: when classes start and end, and who rides next in every ring."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import UTC, date, datetime, time
from itertools import islice
from zoneinfo import ZoneInfo

import msgspec

from events.envelope import stream_of
from events.judged_class.standing import running_entries
from events.judged_class.state import ClassState, Entry
from events.projections.history import History
from events.projections.timetable import Estimate, Progress, Turn, progress, timetable
from events.refusals import Refusal
from events.show.commands import SlotClass
from events.show.events import ClassSlotted
from events.show.state import ShowState
from service.desk import shows
from service.desk.caller import Ask, Caller, Receipt
from service.desk.desk import Desk
from service.desk.names import Names, names

OPENS = time(8)
"""When a ring opens whose first class has no earliest time of its own (common practice)."""

ANNOUNCED = 4
"""How many riders are announced at a ring: the next, and those on deck."""


class Waiting(msgspec.Struct, frozen=True, kw_only=True):
    """An entry that has not ridden yet."""

    class_id: str
    entry: Entry
    working_order: int | None


class RingDay(msgspec.Struct, frozen=True, kw_only=True):
    """One ring's day; ``waiting`` are the next to ride, first ones first, at most ``ANNOUNCED``."""

    ring: str
    estimates: tuple[Estimate, ...]
    waiting: tuple[Waiting, ...]


class DayLook(msgspec.Struct, frozen=True, kw_only=True):
    """A day of a show as it stands; ``zone`` is what the show's clocks show."""

    state: ShowState
    day: date
    zone: ZoneInfo
    rings: tuple[RingDay, ...]
    classes: Mapping[str, ClassState]
    names: Names


def slot(desk: Desk, ask: Ask, show_id: str, wanted: SlotClass) -> Receipt:
    """Give one of the show's classes its turn in a ring."""
    known = {each.id for each in desk.directory.classes(show_id)}
    if wanted.class_id not in known:
        raise Refusal(
            "unknown_class",
            f"The show has no class with the id {wanted.class_id}.",
            **{"class": wanted.class_id},
        )
    return shows.carry_out(desk, ask, show_id, wanted)


def day_of(desk: Desk, caller: Caller, show_id: str, day: date) -> DayLook:
    """A day's estimates for every ring, seen from now, and who rides next."""
    state = shows.look(desk, caller, show_id).state
    planned = state.planned
    if planned is None or not planned.first_day <= day <= planned.last_day:
        raise Refusal("day_outside_show", f"The show is not on {day}.", field="day")
    zone = ZoneInfo(planned.time_zone)
    slots = {ring: state.running_order(ring, day) for ring in state.rings}
    classes = {
        each.class_id: desk.classes.latest(stream_of("class", each.class_id)).state
        for order in slots.values()
        for each in order
    }
    rings = tuple(_ring(desk, ring, order, zone, classes) for ring, order in slots.items())
    shown = [each.entry for ring in rings for each in ring.waiting]
    return DayLook(
        state=state,
        day=day,
        zone=zone,
        rings=rings,
        classes=classes,
        names=names(
            desk.database,
            people=(entry.exhibitor for entry in shown),
            horses=(entry.horse for entry in shown if entry.horse is not None),
        ),
    )


def start_of(desk: Desk, state: ShowState, class_id: str) -> tuple[datetime, bool] | None:
    """When a class began, or will by the estimate, and whether it has; ``None``: nothing says."""
    slotted = state.slots.get(class_id)
    if slotted is None or state.planned is None:
        began = _progress(desk, class_id).began_at
        return None if began is None else (began, True)
    zone = ZoneInfo(state.planned.time_zone)
    order = state.running_order(slotted.ring, slotted.day)
    found = _estimates(desk, order, zone)
    return next((each.starts_at, each.started) for each in found if each.class_id == class_id)


def waiting_in(class_id: str, state: ClassState) -> Iterator[Waiting]:
    """The entries of a class that no judge has begun to mark, in working order."""
    ridden = {
        entry for card in state.cards.values() if card.kind == "judge" for entry in card.rides
    }
    for entry in running_entries(state):
        if entry.id not in ridden and entry.gate is None:
            yield Waiting(
                class_id=class_id, entry=entry, working_order=state.working_order(entry.id)
            )


def _ring(
    desk: Desk,
    ring: str,
    order: Sequence[ClassSlotted],
    zone: ZoneInfo,
    classes: Mapping[str, ClassState],
) -> RingDay:
    estimates = _estimates(desk, order, zone)
    to_come = (
        each
        for estimate in estimates
        if not estimate.ended
        for each in waiting_in(estimate.class_id, classes[estimate.class_id])
    )
    return RingDay(ring=ring, estimates=estimates, waiting=tuple(islice(to_come, ANNOUNCED)))


def _estimates(desk: Desk, order: Sequence[ClassSlotted], zone: ZoneInfo) -> tuple[Estimate, ...]:
    if not order:
        return ()
    turns = [
        (
            Turn(
                class_id=each.class_id,
                slot=each.slot,
                not_before=_on_clock(each.day, each.not_before, zone),
                seconds_a_ride=each.seconds_a_ride,
            ),
            _progress(desk, each.class_id),
        )
        for each in order
    ]
    first = order[0]
    opens = _on_clock(first.day, first.not_before or OPENS, zone)
    assert opens is not None  # noqa: S101 - a time was given
    return timetable(turns, opens_at=opens, now=desk.clock())


def _progress(desk: Desk, class_id: str) -> Progress:
    return progress(History(desk.log.read(stream_of("class", class_id))))


def _on_clock(day: date, at: time | None, zone: ZoneInfo) -> datetime | None:
    return None if at is None else datetime.combine(day, at, tzinfo=zone).astimezone(UTC)
