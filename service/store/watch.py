"""How the workers are getting on: what there is to do, and how far behind each follower is."""

from datetime import datetime

import msgspec
from sqlalchemy import func, select

from service.store import followers, outbox
from service.store.followers import Mark
from service.store.log import Log
from service.store.outbox import Depth
from service.store.tables import event
from service.store.work_tables import subscriber


class Lag(msgspec.Struct, frozen=True, kw_only=True):
    """How far a follower is behind the log, in events and in seconds.

    The seconds are the age of the first event that it has not handled, 0 when there is none.
    ``error`` is what happened at ``error_position``, where it is stuck.
    """

    name: str
    version: int
    position: int
    events: int
    seconds: float
    moved_at: datetime
    error: str | None
    error_position: int | None
    error_at: datetime | None


class Watch(msgspec.Struct, frozen=True, kw_only=True):
    """All that tells whether the work gets done, with the log at position ``head``."""

    head: int
    outbox: Depth
    followers: tuple[Lag, ...]
    subscribers: int
    subscribers_paused: int

    @property
    def stuck(self) -> tuple[Lag, ...]:
        """The followers that cannot get past an event."""
        return tuple(each for each in self.followers if each.error is not None)


def watch(log: Log, *, now: datetime) -> Watch:
    """How things stand."""
    marks = followers.marks(log.database)  # before the head, so that no lag is below nought
    head = log.head().position
    waiting = _recorded_at(log, [mark.position + 1 for mark in marks])
    with log.database.reading() as connection:
        total, paused = connection.execute(
            select(func.count(), func.count(subscriber.c.paused_at)).where(
                subscriber.c.removed_at.is_(None)
            )
        ).one()
    return Watch(
        head=head,
        outbox=outbox.depth(log.database, now=now),
        followers=tuple(_lag(mark, head, waiting.get(mark.position + 1), now) for mark in marks),
        subscribers=total,
        subscribers_paused=paused,
    )


def _lag(mark: Mark, head: int, waiting_since: datetime | None, now: datetime) -> Lag:
    waited = (now - waiting_since).total_seconds() if waiting_since else 0.0
    return Lag(
        name=mark.name,
        version=mark.version,
        position=mark.position,
        events=head - mark.position,
        seconds=max(waited, 0.0),
        moved_at=mark.moved_at,
        error=mark.error,
        error_position=mark.error_position,
        error_at=mark.error_at,
    )


def _recorded_at(log: Log, positions: list[int]) -> dict[int, datetime]:
    with log.database.reading() as connection:
        rows = connection.execute(
            select(event.c.position, event.c.recorded_at).where(event.c.position.in_(positions))
        )
        return {row.position: row.recorded_at for row in rows}
