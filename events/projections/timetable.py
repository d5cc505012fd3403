"""When the classes of a ring start and end, following what really happens in it."""

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any

import msgspec

from events.envelope import RecordedEvent
from events.judged_class import events as happened
from events.judged_class.evolve import evolve
from events.judged_class.standing import ride_score, running_entries
from events.judged_class.state import INITIAL, ClassState, Entry
from events.rulebook.model import RuleBook

_RIDDEN = (
    happened.MarkGiven,
    happened.PenaltyCalled,
    happened.RiderMarkGiven,
    happened.OutcomeCalled,
    happened.TimeGiven,
)
"""What is only said of an entry that is in the ring, or was."""

_TOGETHER = (happened.CardPlaced, happened.CardCalledBack)
"""What is only said of a class that is in the ring as a whole, or was."""

_replace = msgspec.structs.replace


class Span(msgspec.Struct, frozen=True):
    """From the first to the last that a judge's card says of a ride, by the devices' clocks."""

    first: datetime
    last: datetime

    def with_moment(self, moment: datetime) -> "Span":
        """The span with one more moment in it."""
        return Span(min(self.first, moment), max(self.last, moment))


class Run(msgspec.Struct, frozen=True, kw_only=True):
    """A class as it is known after its first events, with the times of what happened in the ring.

    ``rides`` are those that stand, by entry, and ``over`` those that are ridden again; ``together``
    is of the cards that place the whole class. ``ended_at`` is when the first judge's card was
    signed, or the results posted, and ``cancelled_at`` when the class was last cancelled.
    """

    state: ClassState = INITIAL
    rides: Mapping[str, Span] = {}
    over: tuple[Span, ...] = ()
    together: Span | None = None
    ended_at: datetime | None = None
    cancelled_at: datetime | None = None


NOT_RUN = Run()


def run_on(run: Run, event: RecordedEvent) -> Run:
    """The class after one more of its events. Total."""
    data: Any = event.data
    run = _replace(run, state=evolve(run.state, data))
    at = event.occurred_at
    if isinstance(data, _RIDDEN) and _judges(run.state, data.seat):
        span = run.rides.get(data.entry)
        span = Span(at, at) if span is None else span.with_moment(at)
        return _replace(run, rides={**run.rides, data.entry: span})
    if isinstance(data, _TOGETHER) and _judges(run.state, data.seat):
        span = Span(at, at) if run.together is None else run.together.with_moment(at)
        return _replace(run, together=span)
    if isinstance(data, happened.TakenBack) and not _is_on_a_card(run.state, data.entry):
        return _replace(run, rides={e: span for e, span in run.rides.items() if e != data.entry})
    if isinstance(data, happened.RerideGranted):
        stood = tuple(span for entry, span in run.rides.items() if entry == data.entry)
        rides = {entry: span for entry, span in run.rides.items() if entry != data.entry}
        return _replace(run, rides=rides, over=run.over + stood, ended_at=None)
    if isinstance(data, happened.CardSigned) and not _judges(run.state, data.seat):
        return run
    if isinstance(data, happened.CardSigned | happened.ResultsPosted) and run.ended_at is None:
        return _replace(run, ended_at=at)
    if isinstance(data, happened.ClassCancelled | happened.CombinedInto):
        return _replace(run, cancelled_at=at)
    return run


class Progress(msgspec.Struct, frozen=True, kw_only=True):
    """How far a class has come.

    ``ridden`` are the entries that need not go in any more, ``rides`` the rides that were seen,
    those ridden again among them; a class that was in the ring all together had one. ``began_at``
    is when the first was first marked, ``last_began_at`` when the last so far was, ``ended_at``
    when the first card was signed or the results posted. A class that was cancelled is not
    ``held``: nobody is waited for.
    """

    entries: int
    ridden: int
    rides: int
    began_at: datetime | None
    last_began_at: datetime | None
    ended_at: datetime | None
    held: bool = True

    def seconds_a_ride(self, expected: int) -> float:
        """The mean time from one ride to the next so far, or what was expected before there is one.

        So the time that it takes to go in and out is in it.
        """
        if self.rides < 2 or self.began_at is None or self.last_began_at is None:  # noqa: PLR2004
            return float(expected)
        gaps = self.rides - 1
        return (self.last_began_at - self.began_at).total_seconds() / gaps or float(expected)


class Turn(msgspec.Struct, frozen=True, kw_only=True):
    """A class in its place in a ring's running order, as it was planned."""

    class_id: str
    slot: int
    not_before: datetime | None
    seconds_a_ride: int


class Estimate(msgspec.Struct, frozen=True, kw_only=True):
    """When a class began or will begin, and when it ended or will end."""

    class_id: str
    slot: int
    entries: int
    ridden: int
    seconds_a_ride: float
    starts_at: datetime
    ends_at: datetime
    started: bool
    ended: bool


class InLine(msgspec.Struct, frozen=True, kw_only=True):
    """An entry that has not ridden yet, and when it is expected to go in, alone or ``together``."""

    entry: Entry
    working_order: int | None
    expected_at: datetime
    together: bool


def progress(run: Run) -> Progress:
    """How far the class has come, by the clocks of the devices at the ring."""
    running = running_entries(run.state)
    spans = [run.rides[entry.id] for entry in running if entry.id in run.rides]
    seen = [*spans, *run.over, *([run.together] if run.together else [])]
    held = run.state.phase != "cancelled"
    return Progress(
        held=held,
        entries=len(running),
        ridden=sum(not _is_to_come(run, entry) for entry in running) if held else len(running),
        rides=len(seen),
        began_at=min((span.first for span in seen), default=None),
        last_began_at=max((span.first for span in seen), default=None),
        ended_at=run.ended_at or (run.cancelled_at if seen and not held else None),
    )


def timetable(
    turns: Sequence[tuple[Turn, Progress]], *, opens_at: datetime, now: datetime
) -> tuple[Estimate, ...]:
    """Estimates for one ring's day, in running order, seen from ``now``.

    A class starts when the one before it ends, never before its own earliest time, and never in the
    past when it has not begun. What has happened is told as it was.
    """
    free_at = opens_at
    estimates = []
    for turn, so_far in sorted(turns, key=lambda each: each[0].slot):
        if so_far.held or so_far.began_at is not None:
            starts_at = so_far.began_at or max(
                time for time in (free_at, turn.not_before, now) if time is not None
            )
            ends_at = so_far.ended_at or _end(turn, so_far, starts_at, now)
        else:  # it takes no time, and those after it need not wait for its earliest one
            starts_at = ends_at = free_at
        estimates.append(
            Estimate(
                class_id=turn.class_id,
                slot=turn.slot,
                entries=so_far.entries,
                ridden=so_far.ridden,
                seconds_a_ride=so_far.seconds_a_ride(turn.seconds_a_ride),
                starts_at=starts_at,
                ends_at=ends_at,
                started=so_far.began_at is not None,
                ended=so_far.ended_at is not None or not so_far.held,
            )
        )
        free_at = ends_at
    return tuple(estimates)


def in_ring(run: Run, book: RuleBook) -> Entry | None:
    """Who is in the ring: whose ride began last, until every judge has all of it.

    Nobody where the whole class is in the ring at once, and once the class has ended.
    """
    if run.ended_at is not None or run.state.phase == "cancelled" or book.judging == "placed":
        return None
    ridden = [entry for entry in running_entries(run.state) if entry.id in run.rides]
    last = max(ridden, key=lambda entry: run.rides[entry.id].first, default=None)
    if last is None or last.gate is not None:
        return None
    cards = [card for card in run.state.cards.values() if card.kind == "judge"]
    complete = all(ride_score(run.state, card, last, book).complete for card in cards)
    return None if complete else last


def line_up(run: Run, estimate: Estimate, book: RuleBook, *, now: datetime) -> tuple[InLine, ...]:
    """Those still to ride, in working order, each after the one before at the class's own pace.

    A class that is placed on the rail goes in all together.
    """
    if estimate.ended:
        return ()
    to_come = [entry for entry in running_entries(run.state) if _is_to_come(run, entry)]
    together = book.judging == "placed"
    pace = timedelta(seconds=estimate.seconds_a_ride)
    free_at = estimate.ends_at - len(to_come) * pace
    begins = max(free_at, estimate.starts_at, now) if estimate.started else estimate.starts_at
    return tuple(
        InLine(
            entry=entry,
            working_order=run.state.working_order(entry.id),
            expected_at=begins if together else begins + ahead * pace,
            together=together,
        )
        for ahead, entry in enumerate(to_come)
    )


def _is_to_come(run: Run, entry: Entry) -> bool:
    """Whether an entry has still to go in: no judge has begun to mark it, and the gate waits."""
    return entry.gate is None and entry.id not in run.rides and run.together is None


def _is_on_a_card(state: ClassState, entry: str) -> bool:
    """Whether a judge's card says anything of an entry, after something was taken back."""
    return any(entry in card.rides for card in state.cards.values() if card.kind == "judge")


def _judges(state: ClassState, seat: str) -> bool:
    card = state.cards.get(seat)
    return card is not None and card.kind == "judge"


def _end(turn: Turn, so_far: Progress, starts_at: datetime, now: datetime) -> datetime:
    pace = timedelta(seconds=so_far.seconds_a_ride(turn.seconds_a_ride))
    left = so_far.entries - so_far.ridden
    if so_far.last_began_at is None:
        return starts_at + left * pace
    return max(so_far.last_began_at + (1 + left) * pace, now)
