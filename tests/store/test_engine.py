"""Connections keep what is written, give up when held up, and say when nobody answers."""

import sqlite3
from pathlib import Path

import pytest
from sqlalchemy import make_url, text

from service.store.engine import Database, normalised
from service.store.errors import StoreBusy, StoreUnreachable
from service.store.log import Log
from tests.store.given import CLASS, several


@pytest.mark.parametrize(
    ("given", "driver"),
    [
        ("postgres://office@db/ringfold", "postgresql+psycopg"),
        ("postgresql://office@db/ringfold", "postgresql+psycopg"),
        ("postgresql+psycopg://office@db/ringfold", "postgresql+psycopg"),
        ("sqlite:///ringfold.db", "sqlite+pysqlite"),
    ],
)
def test_a_url_names_the_driver_that_is_used(given: str, driver: str) -> None:
    url = normalised(given)
    assert url.drivername == driver
    assert url == make_url(given).set(drivername=driver)


@pytest.mark.parametrize("given", ["sqlite://", "sqlite:///:memory:", "mysql://office@db/ringfold"])
def test_any_other_database_is_refused(given: str) -> None:
    with pytest.raises(ValueError, match="must be a SQLite file or PostgreSQL"):
        normalised(given)


def test_a_refusal_does_not_show_the_password() -> None:
    with pytest.raises(ValueError, match="mysql") as refused:
        normalised("mysql://office:hunter2@db/ringfold")
    assert "hunter2" not in str(refused.value)


def test_what_an_error_interrupts_is_not_written(database: Database) -> None:
    with pytest.raises(ZeroDivisionError), database.writing() as connection:  # noqa: PT012
        connection.execute(text("INSERT INTO horse (id, name) VALUES ('h1', 'Dusk')"))
        raise ZeroDivisionError
    with database.reading() as connection:
        assert connection.scalar(text("SELECT count(*) FROM horse")) == 0


def test_what_is_written_is_seen_by_others_only_when_it_is_whole(database: Database) -> None:
    count = text("SELECT count(*) FROM horse")
    with database.writing() as connection:
        connection.execute(text("INSERT INTO horse (id, name) VALUES ('h1', 'Dusk')"))
        with database.reading() as other:
            assert other.scalar(count) == 0
    with database.reading() as other:
        assert other.scalar(count) == 1


def test_sqlite_keeps_a_commit_through_a_power_cut_and_refuses_tricks(sqlite: Database) -> None:
    with sqlite.reading() as connection:
        pragmas = {
            name: connection.exec_driver_sql(f"PRAGMA {name}").scalar_one()
            for name in (
                *("journal_mode", "synchronous", "recursive_triggers", "trusted_schema"),
                "secure_delete",
            )
        }
    assert pragmas == {
        "journal_mode": "wal",
        "synchronous": 2,  # FULL
        "recursive_triggers": 1,
        "trusted_schema": 0,
        "secure_delete": 1,
    }


def test_a_sqlite_file_that_another_program_holds_is_busy(sqlite: Database) -> None:
    with sqlite.reading() as connection:
        connection.exec_driver_sql("PRAGMA busy_timeout = 0")
    holder = sqlite3.connect(str(sqlite.engine.url.database))
    holder.execute("BEGIN IMMEDIATE")
    log = Log(sqlite)
    with pytest.raises(StoreBusy, match="locked"):
        log.append(CLASS, several(1), expected_version=0)
    assert log.read(CLASS) == ()
    holder.rollback()
    holder.close()
    assert len(log.append(CLASS, several(1), expected_version=0)) == 1


def test_a_sqlite_file_in_no_folder_is_unreachable(tmp_path: Path) -> None:
    with pytest.raises(StoreUnreachable, match="unable to open"):
        Log(Database(f"sqlite:///{tmp_path}/nowhere/ringfold.db")).head()


def test_a_row_that_another_session_holds_is_busy(postgres: Database) -> None:
    with postgres.writing() as holder:
        holder.execute(text("SELECT * FROM log_head FOR UPDATE"))
        with pytest.raises(StoreBusy, match="lock timeout"), postgres.writing() as connection:  # noqa: PT012
            connection.execute(text("SET LOCAL lock_timeout = '1ms'"))
            connection.execute(text("UPDATE log_head SET position = position"))


def test_an_append_that_is_held_up_is_busy_and_writes_nothing(postgres: Database) -> None:
    options = f"{postgres.engine.url.query['options']} -c lock_timeout=1ms"
    hurried = Database(postgres.engine.url.update_query_dict({"options": options}))
    log = Log(hurried)
    with postgres.writing() as holder:
        holder.execute(text("SELECT * FROM log_head FOR UPDATE"))
        with pytest.raises(StoreBusy, match="lock timeout"):
            log.append(CLASS, several(1), expected_version=0)
    assert log.head().position == 0
    hurried.close()


def test_a_server_that_drops_the_connection_is_unreachable_and_then_back(
    postgres: Database,
) -> None:
    log = Log(postgres)
    with postgres.reading() as connection:
        own = connection.scalar(text("SELECT pg_backend_pid()"))
    other = Database(postgres.engine.url)
    with other.reading() as connection:
        connection.execute(text("SELECT pg_terminate_backend(:own, 10000)"), {"own": own})
    other.close()
    with pytest.raises(StoreUnreachable):
        log.append(CLASS, several(1), expected_version=0)
    (recorded,) = log.append(CLASS, several(1), expected_version=0)
    assert recorded.position == 1


@pytest.mark.postgres
def test_a_database_that_is_not_there_is_unreachable(postgres: Database) -> None:
    gone = Database(postgres.engine.url.set(database="ringfold_never_made"))
    with pytest.raises(StoreUnreachable, match="does not exist"):
        Log(gone).head()
    gone.close()
