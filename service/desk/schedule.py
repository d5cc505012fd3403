"""A show's days at the desk: when classes start and end, and who rides next in every ring."""

import hashlib
from collections.abc import Collection, Mapping, Sequence
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import msgspec

from events.envelope import stream_of
from events.judged_class.state import ClassState, Entry
from events.projections.timetable import (
    Estimate,
    InLine,
    Run,
    Turn,
    in_ring,
    line_up,
    progress,
    timetable,
)
from events.refusals import Refusal
from events.show.commands import SetClassDivisions, SlotClass
from events.show.events import ClassSlotted
from events.show.state import ShowState
from service.desk import shows
from service.desk.caller import Ask, Caller, Receipt, check_show
from service.desk.carry_out import planned
from service.desk.desk import Desk
from service.desk.names import Names
from service.store.tips import tips

OPENS = time(8)
"""When a ring opens whose first class has no earliest time of its own (common practice)."""

ANNOUNCED = 4
"""How many riders are announced at a ring: the next, the one on deck, and two after them.

Of a class that goes in all together everybody is.
"""

_WHOLE = timedelta(minutes=1)


class Riding(msgspec.Struct, frozen=True, kw_only=True):
    """The entry that is in the ring."""

    class_id: str
    entry: Entry
    working_order: int | None


class Waiting(msgspec.Struct, frozen=True, kw_only=True):
    """An entry that has not ridden yet, and when it is expected to go in, alone or ``together``."""

    class_id: str
    entry: Entry
    working_order: int | None
    expected_at: datetime
    together: bool


class RingDay(msgspec.Struct, frozen=True, kw_only=True):
    """One ring's day; ``waiting`` are the next to ride, first ones first, as ``ANNOUNCED``."""

    ring: str
    estimates: tuple[Estimate, ...]
    riding: Riding | None
    waiting: tuple[Waiting, ...]


class DayLook(msgspec.Struct, frozen=True, kw_only=True):
    """A day of a show as it stands; ``zone`` is what the show's clocks show.

    While the ``tag`` is the same, so is all of it.
    """

    state: ShowState
    day: date
    zone: ZoneInfo
    rings: tuple[RingDay, ...]
    classes: Mapping[str, ClassState]
    names: Names
    tag: str


def of_class(desk: Desk, ask: Ask, show_id: str, wanted: SlotClass | SetClassDivisions) -> Receipt:
    """Give one of the show's classes its turn in a ring, or its divisions."""
    known = {each.id for each in desk.directory.classes(show_id)}
    if wanted.class_id not in known:
        raise Refusal(
            "unknown_class",
            f"The show has no class with the id {wanted.class_id}.",
            **{"class": wanted.class_id},
        )
    return shows.carry_out(desk, ask, show_id, wanted)


def day_of(desk: Desk, caller: Caller, show_id: str, day: date | None = None) -> DayLook:
    """A day's estimates for every ring, seen from now, and who rides next.

    Without a day it is today by the show's clock, or the show's day that is nearest to it. What is
    remembered is carried forward: an unchanged day costs one small query.
    """
    check_show(caller, show_id)
    far = _Far(desk)
    state = far.show(show_id, day)
    plan = planned(state, show_id).planned
    assert plan is not None  # noqa: S101 - it is planned
    zone = ZoneInfo(plan.time_zone)
    wanted = day or _nearest(state, desk.clock())
    if not plan.first_day <= wanted <= plan.last_day:
        raise Refusal("day_outside_show", f"The show is not on {wanted}.", field="day")
    slots = {ring: state.running_order(ring, wanted) for ring in state.rings}
    held = [each.class_id for order in slots.values() for each in order]
    now = _next_minute(desk.clock())

    def made() -> DayLook:
        runs = far.runs(held)
        rings = tuple(_ring(desk, ring, order, zone, runs, now) for ring, order in slots.items())
        return DayLook(
            state=state,
            day=wanted,
            zone=zone,
            rings=rings,
            classes={name: run.state for name, run in runs.items()},
            names=_names(desk, rings, far.names),
            tag=_tag(wanted, state, runs, rings, far.names),
        )

    return desk.days.made((show_id, wanted), (state.version, now, *far.come(held)), made)


def start_of(desk: Desk, state: ShowState, class_id: str) -> tuple[datetime, bool] | None:
    """When a class began, or will by the estimate, and whether it has; ``None``: nothing says."""
    slotted = state.slots.get(class_id)
    far = _Far(desk)
    if slotted is None or state.planned is None:
        began = progress(far.runs([class_id])[class_id]).began_at
        return None if began is None else (began, True)
    zone = ZoneInfo(state.planned.time_zone)
    order = state.running_order(slotted.ring, slotted.day)
    runs = far.runs([each.class_id for each in order])
    found = _estimates(order, zone, runs, desk.clock())
    return next((each.starts_at, each.started) for each in found if each.class_id == class_id)


class _Far:
    """What is remembered of a show and its classes, carried as far as the log has come."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._versions: Mapping[str, int] = {}
        self.names = -1

    def show(self, show_id: str, day: date | None) -> ShowState:
        """The show as it stands; how far the classes of the day have come is asked with it."""
        stream = stream_of("show", show_id)
        known = self._desk.shows.remembered(stream).state
        self._look([stream, *_streams(known, day or _nearest(known, self._desk.clock()))])
        return self._desk.shows.come_to(stream, self._versions[stream]).state

    def come(self, class_ids: Collection[str]) -> tuple[int, ...]:
        """How often names were changed by now, and the version of each class."""
        streams = [stream_of("class", name) for name in class_ids]
        unknown = set(streams) - self._versions.keys()
        if unknown:
            self._look(unknown)
        return (self.names, *(self._versions[stream] for stream in streams))

    def runs(self, class_ids: Collection[str]) -> Mapping[str, Run]:
        """The classes as they stand."""
        _, *versions = self.come(class_ids)
        return {
            name: self._desk.runs.come_to(stream_of("class", name), version).state
            for name, version in zip(class_ids, versions, strict=True)
        }

    def _look(self, streams: Collection[str]) -> None:
        found = tips(self._desk.database, streams)
        self._versions = {**self._versions, **found.versions}
        self.names = found.names


def _streams(state: ShowState, day: date | None) -> list[str]:
    return [stream_of("class", name) for name, held in state.slots.items() if held.day == day]


def _nearest(state: ShowState, now: datetime) -> date:
    """Today by the show's clock, or the first or last day of a show that is not on."""
    plan = state.planned
    if plan is None:
        return now.date()
    today = now.astimezone(ZoneInfo(plan.time_zone)).date()
    return min(max(today, plan.first_day), plan.last_day)


def _next_minute(now: datetime) -> datetime:
    """The whole minute that is on, or that comes next, so that an estimate stands for a while."""
    whole = now.replace(second=0, microsecond=0)
    return whole if whole == now else whole + _WHOLE


def _ring(
    desk: Desk,
    ring: str,
    order: Sequence[ClassSlotted],
    zone: ZoneInfo,
    runs: Mapping[str, Run],
    now: datetime,
) -> RingDay:
    estimates = _estimates(order, zone, runs, now)
    riding: Riding | None = None
    waiting: list[Waiting] = []
    for estimate in estimates:
        if estimate.ended or len(waiting) >= ANNOUNCED:
            continue
        run = runs[estimate.class_id]
        if run.state.scheduled is None:
            continue
        book = desk.books.held_to(run.state.scheduled.rulebook)
        entry = in_ring(run, book)
        if entry is not None:
            riding = Riding(
                class_id=estimate.class_id,
                entry=entry,
                working_order=run.state.working_order(entry.id),
            )
        line = line_up(run, estimate, book, now=now)
        room = len(line) if book.judging == "placed" else ANNOUNCED - len(waiting)
        waiting += (_waiting(estimate.class_id, each) for each in line[:room])
    return RingDay(ring=ring, estimates=estimates, riding=riding, waiting=tuple(waiting))


def _waiting(class_id: str, of: InLine) -> Waiting:
    return Waiting(
        class_id=class_id,
        entry=of.entry,
        working_order=of.working_order,
        expected_at=of.expected_at,
        together=of.together,
    )


def _estimates(
    order: Sequence[ClassSlotted], zone: ZoneInfo, runs: Mapping[str, Run], now: datetime
) -> tuple[Estimate, ...]:
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
            progress(runs[each.class_id]),
        )
        for each in order
    ]
    first = order[0]
    opens = _on_clock(first.day, first.not_before or OPENS, zone)
    assert opens is not None  # noqa: S101 - a time was given
    return timetable(turns, opens_at=opens, now=now)


def _names(desk: Desk, rings: Sequence[RingDay], turn: int) -> Names:
    shown = [each.entry for ring in rings for each in ring.waiting]
    shown += [ring.riding.entry for ring in rings if ring.riding is not None]
    return desk.announced.at(
        turn,
        people=[entry.exhibitor for entry in shown],
        horses=[entry.horse for entry in shown if entry.horse is not None],
    )


def _tag(
    day: date, state: ShowState, runs: Mapping[str, Run], rings: Sequence[RingDay], names: int
) -> str:
    """A digest over what the day follows from, and over the times that it comes to."""
    versions = [(name, run.state.version) for name, run in runs.items()]
    times = [(each.starts_at, each.ends_at) for ring in rings for each in ring.estimates]
    expected = [each.expected_at for ring in rings for each in ring.waiting]
    told = msgspec.json.encode((day, state.version, versions, times, expected, names))
    return hashlib.sha256(told).hexdigest()[:16]


def _on_clock(day: date, at: time | None, zone: ZoneInfo) -> datetime | None:
    return None if at is None else datetime.combine(day, at, tzinfo=zone).astimezone(UTC)
