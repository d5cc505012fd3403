"""A follower for tests: it counts events by their type, in a table of its own."""

from collections.abc import Mapping

from sqlalchemy import Connection, text

from events.catalogue import ALL_EVENTS
from events.envelope import Event, RecordedEvent
from service.store.engine import Database
from service.workers.follow import Handler


class Unlucky(Exception):
    """What the follower was told to stumble over."""


class Tally:
    """Counts, and keeps the positions in the order in which it was given them."""

    name = "tally"

    def __init__(self, version: int = 1, stumbles_at: int | None = None) -> None:
        self.version = version
        self.stumbles_at = stumbles_at
        self.unprepared_at: int | None = None
        self.handlers: Mapping[type[Event], Handler | None] = dict.fromkeys(ALL_EVENTS, self._count)

    def prepare(self, event: RecordedEvent) -> None:
        if event.position == self.unprepared_at:
            raise Unlucky(f"nothing is ready for {event.position}")

    def clear(self, connection: Connection) -> None:
        connection.execute(text("DELETE FROM tally"))

    def _count(self, connection: Connection, event: RecordedEvent) -> None:
        connection.execute(
            text(
                "INSERT INTO tally (number, position, type, version) VALUES"
                " ((SELECT coalesce(max(number), 0) + 1 FROM tally), :position, :type, :version)"
            ),
            {
                "position": event.position,
                "type": type(event.data).__name__,
                "version": self.version,
            },
        )
        if event.position == self.stumbles_at:
            raise Unlucky(f"stumbled at {event.position}")


def create_table(database: Database) -> None:
    """The follower's table. It takes a position twice, so that a test can see it twice."""
    with database.writing() as connection:
        connection.execute(
            text(
                "CREATE TABLE tally (number INTEGER PRIMARY KEY, position INTEGER NOT NULL,"
                " type TEXT NOT NULL, version INTEGER NOT NULL)"
            )
        )


def tallied(database: Database) -> list[tuple[int, str]]:
    """What was counted, in the order of counting."""
    with database.reading() as connection:
        rows = connection.execute(text("SELECT position, type FROM tally ORDER BY number"))
        return [(position, kind) for position, kind in rows]
