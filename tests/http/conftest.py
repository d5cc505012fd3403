import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from service.app import create_app
from service.config import Settings
from service.store import migrate
from service.store.engine import Database
from tests.http.house import House


@pytest.fixture(scope="session")
def migrated_sqlite(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("migrated") / "log.db"
    database = Database(f"sqlite:///{path}")
    migrate.upgrade(database)
    database.close()
    return path


@pytest.fixture
def sqlite_url(migrated_sqlite: Path, tmp_path: Path) -> str:
    return f"sqlite:///{shutil.copy(migrated_sqlite, tmp_path / 'log.db')}"


@pytest.fixture
def migrated_postgres(postgres_url: str, new_postgres: Callable[..., str]) -> str:
    database = Database(postgres_url)
    migrate.upgrade(database)
    database.close()
    return new_postgres(postgres_url)


@pytest.fixture
def empty_house(sqlite_url: str) -> Iterator[House]:
    yield from serving(sqlite_url)


@pytest.fixture
def house(empty_house: House) -> House:
    empty_house.open_show()
    return empty_house


@pytest.fixture
def postgres_house(migrated_postgres: str) -> Iterator[House]:
    for each in serving(migrated_postgres):
        each.open_show()
        yield each


def serving(url: str) -> Iterator[House]:
    app = create_app(Settings(database=url))
    app.testing = True
    found = House(app)
    yield found
    found.desk.close()
