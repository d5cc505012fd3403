"""One empty, migrated database a test, on SQLite and on PostgreSQL alike."""

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

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


@pytest.fixture(scope="session")
def migrated_postgres(postgres_url: str) -> str:
    """A migrated PostgreSQL database, to be copied."""
    database = Database(postgres_url)
    migrate.upgrade(database)
    database.close()
    return postgres_url


@pytest.fixture
def sqlite(migrated_sqlite: Path, tmp_path: Path) -> Iterator[Database]:
    """A SQLite database of this test's own."""
    path = shutil.copy(migrated_sqlite, tmp_path / "log.db")
    database = Database(f"sqlite:///{path}")
    yield database
    database.close()


@pytest.fixture
def postgres(migrated_postgres: str, new_postgres: Callable[..., str]) -> Iterator[Database]:
    """A PostgreSQL database of this test's own."""
    database = Database(new_postgres(migrated_postgres))
    yield database
    database.close()


@pytest.fixture(params=["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)])
def database(request: pytest.FixtureRequest) -> Database:
    """Either: what is tested with it holds on both."""
    found: Database = request.getfixturevalue(request.param)
    return found


@pytest.fixture
def log(database: Database) -> Log:
    """The log of either database."""
    return Log(database)
