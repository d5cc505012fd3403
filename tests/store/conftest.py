"""One empty, migrated database a test, on SQLite and on PostgreSQL alike."""

import shutil
import uuid
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from sqlalchemy import make_url, text

from service.store import migrate
from service.store.engine import Database
from service.store.log import Log


@pytest.fixture(scope="session")
def migrated_sqlite(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A migrated SQLite file, to be copied."""
    path = tmp_path_factory.mktemp("migrated") / "log.db"
    database = Database(f"sqlite:///{path}")
    migrate.upgrade(database)
    database.close()
    return path


@pytest.fixture
def sqlite(migrated_sqlite: Path, tmp_path: Path) -> Iterator[Database]:
    """A SQLite database of this test's own."""
    path = shutil.copy(migrated_sqlite, tmp_path / "log.db")
    database = Database(f"sqlite:///{path}")
    yield database
    database.close()


@pytest.fixture(scope="session")
def whole_postgres(lasting_postgres: Callable[[], str]) -> str:
    """The database in which each test makes its schema."""
    return lasting_postgres()


@pytest.fixture
def postgres(whole_postgres: str) -> Iterator[Database]:
    """A PostgreSQL schema of this test's own, which is much sooner made than a database."""
    schema = f"test_{uuid.uuid4().hex[:12]}"
    whole = Database(whole_postgres)
    _run(whole, f"CREATE SCHEMA {schema}")
    within = {"options": f"-c search_path={schema}"}
    database = Database(make_url(whole_postgres).update_query_dict(within))
    migrate.upgrade(database)
    yield database
    database.close()
    _run(whole, f"DROP SCHEMA {schema} CASCADE")
    whole.close()


def _run(database: Database, statement: str) -> None:
    with database.writing() as connection:
        connection.execute(text(statement))


@pytest.fixture(params=["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)])
def database(request: pytest.FixtureRequest) -> Database:
    """Either: what is tested with it holds on both."""
    found: Database = request.getfixturevalue(request.param)
    return found


@pytest.fixture
def log(database: Database) -> Log:
    """The log of either database."""
    return Log(database)
