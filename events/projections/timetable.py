"""When the classes of a ring start and end, following what really happens in it."""

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta

import msgspec

from events.envelope import RecordedEvent
from events.judged_class import events as happened
from events.judged_class.standing import running_entries
from events.projections.history import History

_CARD_FACTS = (
    happened.MarkGiven,
    happened.PenaltyCalled,
    happened.RiderMarkGiven,
    happened.OutcomeCalled,
)


class Progress(msgspec.Struct, frozen=True, kw_only=True):
    """How far a class has come.

    ``began_at`` is when its first ride was first marked, ``last_at`` when its last ride so far was
    last marked, ``ended_at`` when the first card was signed or the results posted.
    """

    entries: int
    ridden: int
    began_at: datetime | None
    last_at: datetime | None
    ended_at: datetime | None

    def seconds_a_ride(self, expected: int) -> float:
        """The mean time of the rides so far, or what was expected while there is none."""
        if not self.ridden or self.began_at is None or self.last_at is None:
            return float(expected)
        return (self.last_at - self.began_at).total_seconds() / self.ridden or float(expected)


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
    starts_at: datetime
    ends_at: datetime
    started: bool
    ended: bool


def progress(history: History) -> Progress:
    """How far the class has come, by the clocks of the devices at the ring."""
    state = history.at_version(history.version)
    running = {entry.id for entry in running_entries(state)}
    gone = {entry.id for entry in running_entries(state) if entry.gate is not None}
    facts = [event for event in history.events if isinstance(event.data, _CARD_FACTS)]
    facts = [event for event in facts if event.data.entry in running]  # type: ignore[attr-defined]
    ridden = {event.data.entry for event in facts} | gone  # type: ignore[attr-defined]
    times = [event.occurred_at for event in facts]
    return Progress(
        entries=len(running),
        ridden=len(ridden),
        began_at=min(times, default=None),
        last_at=max(times, default=None),
        ended_at=_ended(history.events),
    )


def _ended(events: Iterable[RecordedEvent]) -> datetime | None:
    return next(
        (
            event.occurred_at
            for event in events
            if isinstance(event.data, happened.CardSigned | happened.ResultsPosted)
        ),
        None,
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
        starts_at = so_far.began_at or max(
            time for time in (free_at, turn.not_before, now) if time is not None
        )
        ends_at = so_far.ended_at or _end(turn, so_far, starts_at, now)
        estimates.append(
            Estimate(
                class_id=turn.class_id,
                slot=turn.slot,
                entries=so_far.entries,
                ridden=so_far.ridden,
                starts_at=starts_at,
                ends_at=ends_at,
                started=so_far.began_at is not None,
                ended=so_far.ended_at is not None,
            )
        )
        free_at = ends_at
    return tuple(estimates)


def _end(turn: Turn, so_far: Progress, starts_at: datetime, now: datetime) -> datetime:
    seconds = so_far.seconds_a_ride(turn.seconds_a_ride)
    left = timedelta(seconds=seconds * (so_far.entries - so_far.ridden))
    if so_far.last_at is None:
        return starts_at + left
    return max(so_far.last_at + left, now)
