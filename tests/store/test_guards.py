"""The database itself refuses to change or remove what the log holds."""

from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from sqlalchemy import Connection, text
from sqlalchemy.exc import DBAPIError

from service.store.engine import Database
from service.store.log import Log
from service.store.migrate import is_ready, missing_guards
from service.store.tables import event
from tests.store.given import CLASS, everything, several

REFUSED = "the log only grows"
COPY = ", ".join(column.name for column in event.c)


@pytest.fixture(autouse=True)
def _two_events(database: Database) -> Iterator[None]:
    """Every attempt is made on two events, which are still the same afterwards."""
    Log(database).append(CLASS, several(2), expected_version=0)
    before = everything(database)
    yield
    assert everything(database) == before


@contextmanager
def refused(database: Database, reason: str = REFUSED) -> Iterator[Connection]:
    """A transaction that ends in a refusal."""
    with pytest.raises(DBAPIError, match=reason), database.writing() as connection:
        yield connection


@pytest.mark.parametrize(
    "attempt",
    [
        "UPDATE event SET actor = 'somebody else'",
        "UPDATE event SET bytes = bytes WHERE position = 1",
        "DELETE FROM event",
        "DELETE FROM event WHERE position = 2",
        "DELETE FROM log_head",
        "UPDATE log_head SET position = 1",
        "UPDATE log_head SET recorded_at = '2001-01-01T00:00:00.000000Z'",
    ],
)
def test_neither_the_log_nor_its_head_goes_back(database: Database, attempt: str) -> None:
    with refused(database) as connection:
        connection.execute(text(attempt))


@pytest.mark.parametrize(
    ("conflict", "assignment"),
    [("id", "actor = 'else'"), ("stream, version", "id = 'else'"), ("position", "id = 'else'")],
)
def test_an_insertion_cannot_be_turned_into_a_change(
    database: Database, conflict: str, assignment: str
) -> None:
    with refused(database, f"{REFUSED}|the log holds|has reached") as connection:
        connection.execute(
            text(
                f"INSERT INTO event ({COPY}) SELECT {COPY} FROM event WHERE position = 1"
                f" ON CONFLICT ({conflict}) DO UPDATE SET {assignment}"
            )
        )


def test_every_guard_is_in_place(database: Database) -> None:
    assert missing_guards(database) == frozenset()
    assert is_ready(database)
