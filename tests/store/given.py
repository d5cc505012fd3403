"""What the tests of the store write: marks of one class, and commands."""

from datetime import UTC, datetime

from sqlalchemy import select

from events.envelope import Actor, NewEvent
from events.judged_class.events import MarkGiven
from service.store.batch import CommandRecord
from service.store.engine import Database
from service.store.ids import new_id
from service.store.tables import event, log_head

CLASS = "class-trail"
OTHER = "class-reining"
SCRIBE = Actor(key="key-1", role="scribe", seat="A", device="tablet-1")
NOON = datetime(2026, 6, 6, 12, tzinfo=UTC)


def mark(half_points: int = 0) -> MarkGiven:
    """A judge's mark."""
    return MarkGiven(seat="A", entry="1", maneuver=1, mark=half_points)


def new(half_points: int = 0, *, event_id: str | None = None) -> NewEvent:
    """A judge's mark on its way into the log."""
    return NewEvent(
        id=event_id or new_id(),
        command="command-1",
        actor=SCRIBE,
        occurred_at=NOON,
        data=mark(half_points),
    )


def several(count: int) -> list[NewEvent]:
    """Marks that differ: 0, 1, 2 ... half points."""
    return [new(number) for number in range(count)]


def command(name: str = "command-1", asked: str = "the same", key: str = "key-1") -> CommandRecord:
    """A command of a key, with a fingerprint of what it asks."""
    return CommandRecord(key=key, command=name, fingerprint=asked)


def everything(database: Database) -> list[object]:
    """Every row of the log, and its head."""
    with database.reading() as connection:
        events = connection.execute(select(event).order_by(event.c.position)).all()
        return [*events, *connection.execute(select(log_head))]
