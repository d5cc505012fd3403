"""Following the log: every event once, in order, its rows and the follower's mark together."""

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from typing import Protocol

import structlog
from sqlalchemy import Connection

from events.envelope import Event, RecordedEvent
from service.store import followers
from service.store.engine import Database
from service.store.errors import StoreBusy, StoreUnreachable, translate
from service.store.followers import UnknownFollower
from service.store.log import Log

BATCH = 500
Handler = Callable[[Connection, RecordedEvent], None]
"""Writes what follows from an event on the connection of the mark's transaction."""

Clock = Callable[[], datetime]
_journal = structlog.get_logger()


class Follower(Protocol):
    """A read model that is carried forward event by event.

    ``version`` is raised when its rows would come out differently: then they are made anew. The
    handlers cover every event there is, with ``None`` for those that change nothing here.
    """

    @property
    def name(self) -> str:
        """What its mark is kept under."""

    @property
    def version(self) -> int:
        """Which way of making its rows this is."""

    @property
    def handlers(self) -> Mapping[type[Event], Handler | None]:
        """What follows from each event."""

    def prepare(self, event: RecordedEvent) -> None:
        """Do what cannot be done in the transaction; may be done more than once for an event."""

    def clear(self, connection: Connection) -> None:
        """Remove every row of its own."""


class Stuck(Exception):
    """A follower could not handle the event at a position, and goes no further until it can."""

    def __init__(self, name: str, position: int, error: str) -> None:
        super().__init__(f"{name} is stuck at event {position}: {error}")
        self.name = name
        self.position = position


class NewerRelease(Exception):
    """The follower's rows are made by a newer release than this one, which keeps off them."""


class _Halted(Exception):
    def __init__(self, position: int) -> None:
        super().__init__(position)
        self.position = position


def follow(log: Log, follower: Follower, clock: Clock, *, batch: int = BATCH) -> bool:
    """Handle the next events; whether there may be more.

    Raises ``Stuck`` once the events before the one that failed are handled, ``NewerRelease``,
    ``StoreBusy`` or ``StoreUnreachable``. Whoever follows at the same time handles none of them
    again.
    """
    after = _begin(log.database, follower, clock)
    events = log.feed(after, batch)
    if not events:
        return False
    try:
        _prepare(follower, events)
        _handle(log.database, follower, after, events, clock)
    except _Halted as halted:
        raise _stuck(log.database, follower, after, events, halted, clock) from halted.__cause__
    return True


def rebuild(database: Database, follower: Follower, *, now: datetime) -> None:
    """Remove the follower's rows, and let it begin again at the beginning of the log."""
    with database.writing() as connection:
        followers.locked(connection, follower.name)
        _restart(connection, follower, now)


def _restart(connection: Connection, follower: Follower, now: datetime) -> None:
    follower.clear(connection)
    followers.restart(connection, follower.name, follower.version, now=now)


def _begin(database: Database, follower: Follower, clock: Clock) -> int:
    try:
        mark = followers.mark(database, follower.name)
    except UnknownFollower:
        followers.register(database, follower.name, follower.version, now=clock())
        return 0
    if mark.version > follower.version:
        raise NewerRelease(f"{follower.name} is at version {mark.version} already")
    if mark.version == follower.version:
        return mark.position
    _journal.info("follower_begins_again", follower=follower.name, version=follower.version)
    with database.writing() as connection:
        if followers.locked(connection, follower.name).version < follower.version:
            _restart(connection, follower, clock())
    return followers.mark(database, follower.name).position


def _prepare(follower: Follower, events: Sequence[RecordedEvent]) -> None:
    for event in events:
        try:
            if follower.handlers[type(event.data)] is not None:
                follower.prepare(event)
        except Exception as error:
            if _passes(error):
                raise
            raise _Halted(event.position) from error


def _handle(
    database: Database,
    follower: Follower,
    after: int,
    events: Sequence[RecordedEvent],
    clock: Clock,
) -> None:
    with database.writing() as connection:
        mark = followers.locked(connection, follower.name)
        if (mark.version, mark.position) != (follower.version, after):
            return  # somebody else was faster
        for event in events:
            try:
                handler = follower.handlers[type(event.data)]
                if handler is not None:
                    handler(connection, event)
            except Exception as error:
                if _passes(error):
                    raise
                raise _Halted(event.position) from error
        followers.move(connection, follower.name, events[-1].position, now=clock())


def _passes(error: Exception) -> bool:
    """Whether it is no fault of the event, and will be over in a while."""
    return isinstance(translate(error), StoreBusy | StoreUnreachable)


def _stuck(
    database: Database,
    follower: Follower,
    after: int,
    events: Sequence[RecordedEvent],
    halted: _Halted,
    clock: Clock,
) -> Stuck:
    if good := [event for event in events if event.position < halted.position]:
        _handle(database, follower, after, good, clock)
    cause = halted.__cause__
    error = f"{type(cause).__name__}: {cause}"
    news = followers.record_error(database, follower.name, halted.position, error, now=clock())
    if news:  # it is tried again whenever something is appended, and need not be told each time
        _journal.error(
            "follower_stuck", follower=follower.name, position=halted.position, exc_info=cause
        )
    return Stuck(follower.name, halted.position, error)
