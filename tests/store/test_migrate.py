"""Migrations lead from an empty database to the tables that the code expects, guards included."""

import multiprocessing
import re
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor
from pathlib import Path

import pytest
from alembic.script import ScriptDirectory
from sqlalchemy import CheckConstraint, inspect, text

import migrations
from service.store import migrate
from service.store.engine import Database
from service.store.every_table import metadata
from service.store.log import Log
from tests.store.given import CLASS, everything, several

FOLDER = Path(migrations.__file__).parent


@pytest.fixture(params=["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)])
def empty(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Database]:
    """A database with nothing in it."""
    url = f"sqlite:///{tmp_path / 'empty.db'}"
    if request.param == "postgres":
        url = request.getfixturevalue("new_postgres")()
    database = Database(url)
    yield database
    database.close()


def test_an_empty_database_becomes_what_the_code_expects(empty: Database) -> None:
    assert migrate.current(empty) is None
    assert not migrate.is_ready(empty)
    migrate.upgrade(empty)
    assert migrate.current(empty) == migrate.newest()
    assert migrate.drift(empty) == []
    assert migrate.missing_guards(empty) == frozenset()
    assert migrate.is_ready(empty)


def test_constraints_are_called_what_the_code_calls_them(database: Database) -> None:
    dialect = database.engine.dialect
    expected = {
        (table.name, dialect.identifier_preparer.format_constraint(constraint))
        for table in metadata.tables.values()
        for constraint in table.constraints
        if isinstance(constraint, CheckConstraint)
    }
    with database.reading() as connection:
        found = inspect(connection)
        assert expected == {
            (table, check["name"])
            for table in metadata.tables
            for check in found.get_check_constraints(table)
        }


def test_each_revision_by_itself_leads_to_the_same(empty: Database) -> None:
    script = ScriptDirectory(str(FOLDER))
    for revision in reversed(list(script.walk_revisions())):
        migrate.upgrade(empty, revision.revision)
        assert migrate.current(empty) == revision.revision
        missing = migrate.missing_guards(empty)
        assert not [guard for guard in missing if guard.startswith(("event_", "log_head_"))]
    assert migrate.is_ready(empty)
    assert migrate.drift(empty) == []


def test_an_upgrade_of_what_is_up_to_date_changes_nothing(log: Log, database: Database) -> None:
    log.append(CLASS, several(3), expected_version=0)
    before = everything(database)
    migrate.upgrade(database)
    assert everything(database) == before
    assert migrate.is_ready(database)


def upgraded_elsewhere(url: str) -> bool:
    """Upgrade in a process of its own."""
    database = Database(url)
    migrate.upgrade(database)
    ready = migrate.is_ready(database)
    database.close()
    return ready


def test_processes_that_start_together_all_find_a_ready_database(empty: Database) -> None:
    url = empty.engine.url.render_as_string(hide_password=False)
    with ProcessPoolExecutor(2, multiprocessing.get_context("spawn")) as processes:
        assert all(processes.map(upgraded_elsewhere, [url] * 2))


def test_threads_that_start_together_all_find_a_ready_database(empty: Database) -> None:
    with ThreadPoolExecutor(4) as threads:
        list(threads.map(migrate.upgrade, [empty] * 4))
    assert migrate.is_ready(empty)


def test_an_upgrade_that_fails_leaves_nothing_behind(empty: Database) -> None:
    with empty.writing() as connection:
        connection.execute(text("CREATE TABLE rulebook (in_the_way int)"))
    with pytest.raises(Exception, match="rulebook"):
        migrate.upgrade(empty)
    with empty.reading() as connection:
        assert inspect(connection).get_table_names() == ["rulebook"]
    assert migrate.current(empty) is None


@pytest.mark.parametrize(
    ("change", "kind"),
    [
        ("ALTER TABLE horse ADD COLUMN colour text", "remove_column"),
        ("ALTER TABLE horse DROP COLUMN registration", "add_column"),
        ("DROP TABLE horse", "add_table"),
        ("DROP INDEX ix_api_key_show_id", "add_index"),
    ],
)
def test_drift_is_told(database: Database, change: str, kind: str) -> None:
    with database.writing() as connection:
        connection.execute(text(change))
    assert [difference[0] for difference in migrate.drift(database)] == [kind]


def test_only_a_ready_database_is_at_the_newest_revision(database: Database) -> None:
    with database.writing() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '0000'"))
    assert not migrate.is_ready(database)


def test_a_database_of_a_newer_release_is_left_alone(database: Database) -> None:
    with database.writing() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(Exception, match="9999"):
        migrate.upgrade(database)
    assert migrate.current(database) == "9999"


def test_no_revision_alters_the_event_table_in_batch_mode() -> None:
    for path in (FOLDER / "versions").glob("[0-9]*.py"):
        assert not re.search(r"batch_alter_table\(\s*[\"']event[\"']", path.read_text("utf-8"))


def test_revisions_are_numbered_in_one_line() -> None:
    script = ScriptDirectory(str(FOLDER))
    revisions = [each.revision for each in reversed(list(script.walk_revisions()))]
    assert revisions == [f"{number:04}" for number in range(1, len(revisions) + 1)]
