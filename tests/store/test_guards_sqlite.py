"""A SQLite file protects its log against any program that opens it, with SQLite's own defaults."""

import contextlib
import sqlite3
from collections.abc import Iterator

import pytest

from service.store.engine import Database
from service.store.log import Log
from service.store.migrate import missing_guards
from service.store.tables import event
from tests.store.given import CLASS, everything, several


@pytest.fixture
def stranger(sqlite: Database) -> Iterator[sqlite3.Connection]:
    """Another program, which sets none of our pragmas; the log is the same afterwards."""
    Log(sqlite).append(CLASS, several(2), expected_version=0)
    before = everything(sqlite)
    with contextlib.closing(sqlite3.connect(str(sqlite.engine.url.database))) as connection:
        yield connection
        connection.rollback()
    assert everything(sqlite) == before


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        ({"position": "3", "version": "3"}, "the log holds an event with this id"),
        ({"position": "3", "id": "'other'"}, "the stream has reached this version"),
        ({"version": "3", "id": "'other'"}, "the log has reached this position"),
        ({}, "the log holds an event with this id"),
    ],
)
def test_no_event_is_replaced(
    stranger: sqlite3.Connection, changes: dict[str, str], reason: str
) -> None:
    values = ", ".join(changes.get(column.name, column.name) for column in event.c)
    with pytest.raises(sqlite3.IntegrityError, match=reason):
        stranger.execute(
            f"INSERT OR REPLACE INTO event SELECT {values} FROM event WHERE position = 2"
        )


@pytest.mark.parametrize(
    "attempt",
    [
        "UPDATE OR REPLACE event SET position = 1 WHERE position = 2",
        "UPDATE event SET version = 9",
        "DELETE FROM event",
    ],
)
def test_no_event_is_changed_or_removed(stranger: sqlite3.Connection, attempt: str) -> None:
    with pytest.raises(sqlite3.IntegrityError, match="the log only grows"):
        stranger.execute(attempt)


def test_the_head_is_not_replaced(stranger: sqlite3.Connection) -> None:
    with pytest.raises(sqlite3.IntegrityError, match="the log has a head"):
        stranger.execute("INSERT OR REPLACE INTO log_head SELECT id, 0, recorded_at FROM log_head")


def test_a_value_of_another_type_is_refused(stranger: sqlite3.Connection) -> None:
    with pytest.raises(sqlite3.IntegrityError, match="cannot store TEXT value in INTEGER column"):
        stranger.execute("INSERT INTO idempotency VALUES ('k','c','f','s','one',0,0,'now',NULL)")


def test_a_guard_that_is_gone_is_missed(stranger: sqlite3.Connection, sqlite: Database) -> None:
    stranger.execute("DROP TRIGGER event_refuses_replace")
    stranger.commit()
    assert missing_guards(sqlite) == {"event_refuses_replace"}
