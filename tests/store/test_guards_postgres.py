"""PostgreSQL protects the log against every session, even its owner's."""

from collections.abc import Iterator

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from service.store.engine import Database
from service.store.log import Log
from service.store.migrate import missing_guards
from tests.store.given import CLASS, everything, several


@pytest.fixture(autouse=True)
def _two_events(postgres: Database) -> Iterator[None]:
    """Every attempt is made on two events, which are still the same afterwards."""
    Log(postgres).append(CLASS, several(2), expected_version=0)
    before = everything(postgres)
    yield
    assert everything(postgres) == before


def attempt(database: Database, *statements: str) -> None:
    with database.writing() as connection:
        for statement in statements:
            connection.execute(text(statement))


@pytest.mark.parametrize("table", ["event", "log_head", "event, log_head", "event CASCADE"])
def test_the_log_is_not_truncated(postgres: Database, table: str) -> None:
    with pytest.raises(DBAPIError, match=r"TRUNCATE of .* is refused"):
        attempt(postgres, f"TRUNCATE {table}")


@pytest.mark.parametrize("statement", ["DELETE FROM event", "UPDATE event SET version = version"])
@pytest.mark.parametrize("condition", ["", " WHERE position > 99"], ids=["all", "none"])
def test_a_session_that_replicates_is_refused_too(
    postgres: Database, statement: str, condition: str
) -> None:
    with pytest.raises(DBAPIError, match="the log only grows"):
        attempt(postgres, "SET LOCAL session_replication_role = replica", statement + condition)


@pytest.mark.parametrize("state", ["DISABLE", "ENABLE", "ENABLE REPLICA"])
def test_a_guard_that_is_not_always_in_force_is_missed(postgres: Database, state: str) -> None:
    attempt(postgres, f"ALTER TABLE event {state} TRIGGER event_only_grows")
    assert missing_guards(postgres) == {"event_only_grows"}
