import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from flask import Flask

from service.app import create_app
from service.config import Settings
from service.desk.desk import Desk
from service.http import here
from service.store import migrate
from service.store.engine import Database
from tests.http.house import House, Keys


@pytest.fixture(scope="session")
def application() -> Flask:
    """One application for all tests; it remembers nothing but its desk, and each has its own."""
    app = create_app(Settings(database="sqlite:///never-opened.db"))
    app.testing = True
    return app


@pytest.fixture(scope="session")
def migrated_sqlite(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("migrated") / "log.db"
    with_desk(f"sqlite:///{path}", lambda desk: migrate.upgrade(desk.database))
    return path


@pytest.fixture(scope="session")
def opened_sqlite(
    application: Flask, migrated_sqlite: Path, tmp_path_factory: pytest.TempPathFactory
) -> tuple[Path, Keys]:
    """A database with a show in it, to be copied, and the keys that open it."""
    path = tmp_path_factory.mktemp("opened") / "log.db"
    shutil.copy(migrated_sqlite, path)
    desk = Desk(Database(f"sqlite:///{path}"))
    here.install(application, desk)
    found = House(application)
    found.open_show()
    desk.close()
    return path, found.keys


@pytest.fixture
def empty_house(application: Flask, migrated_sqlite: Path, tmp_path: Path) -> Iterator[House]:
    path = shutil.copy(migrated_sqlite, tmp_path / "log.db")
    desk = Desk(Database(f"sqlite:///{path}"))
    here.install(application, desk)
    yield House(application)
    desk.close()


@pytest.fixture
def sqlite_application(migrated_sqlite: Path, tmp_path: Path) -> Iterator[Flask]:
    """An application of the test's own, for a test that changes it."""
    path = shutil.copy(migrated_sqlite, tmp_path / "log.db")
    app = create_app(Settings(database=f"sqlite:///{path}"))
    yield app
    here.desk_of(app).close()


@pytest.fixture
def house(application: Flask, opened_sqlite: tuple[Path, Keys], tmp_path: Path) -> Iterator[House]:
    template, held = opened_sqlite
    path = shutil.copy(template, tmp_path / "log.db")
    desk = Desk(Database(f"sqlite:///{path}"))
    here.install(application, desk)
    yield House(application, held)
    desk.close()


@pytest.fixture
def postgres_house(
    application: Flask, postgres_url: str, new_postgres: Callable[..., str]
) -> Iterator[House]:
    with_desk(postgres_url, lambda desk: migrate.upgrade(desk.database))
    desk = Desk(Database(new_postgres(postgres_url)))
    here.install(application, desk)
    found = House(application)
    found.open_show()
    yield found
    desk.close()


def with_desk(url: str, work: Callable[[Desk], None]) -> None:
    desk = Desk(Database(url))
    work(desk)
    desk.close()
