import contextlib
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from flask import Flask

from service.app import create_app
from service.config import Settings
from service.desk.desk import Desk
from service.http import here
from service.reach import Reach
from service.store import migrate
from service.store.engine import Database
from service.trust.settings import TrustSettings
from tests.http.house import ORIGIN, House, Keys


@contextlib.contextmanager
def serving(app: Flask, url: str, keys: Keys | None = None) -> Iterator[House]:
    """The application on a migrated database, whose keys are given where it has some already."""
    desk = Desk(Database(url))
    here.install(app, desk)
    here.furnish(app, TrustSettings(origin=ORIGIN, folder=_keys_beside(url)), Reach())
    try:
        yield House(app, keys)
    finally:
        desk.close()


@pytest.fixture(scope="session")
def application(tmp_path_factory: pytest.TempPathFactory) -> Flask:
    """One application for all tests; it remembers nothing but its desk, and each has its own."""
    unused = tmp_path_factory.mktemp("application") / "unused.db"
    app = create_app(Settings(database=f"sqlite:///{unused}"))
    app.testing = True
    return app


@pytest.fixture(scope="session")
def migrated_sqlite(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("migrated") / "log.db"
    _migrate(f"sqlite:///{path}")
    return path


@pytest.fixture(scope="session")
def opened_sqlite(
    application: Flask, migrated_sqlite: Path, tmp_path_factory: pytest.TempPathFactory
) -> tuple[Path, Keys]:
    """A database with a show in it, to be copied, and the keys that open it."""
    path = tmp_path_factory.mktemp("opened") / "log.db"
    shutil.copy(migrated_sqlite, path)
    with serving(application, f"sqlite:///{path}") as found:
        found.open_show()
    return path, found.keys


@pytest.fixture(scope="session")
def protested_sqlite(
    application: Flask, opened_sqlite: tuple[Path, Keys], tmp_path_factory: pytest.TempPathFactory
) -> tuple[Path, Keys]:
    """A database in which something can be done with every resource, to be copied."""
    opened, keys = opened_sqlite
    path = tmp_path_factory.mktemp("protested") / "log.db"
    shutil.copy(opened, path)
    with serving(application, f"sqlite:///{path}", keys) as found:
        found.judge(found.schedule())
        found.protest("horsemanship")
        found.judge(found.schedule("official"))
        found.make_official("official")
        found.open_season()
        found.open_award()
        found.reckon()
    return path, keys


@pytest.fixture
def empty_house(application: Flask, migrated_sqlite: Path, tmp_path: Path) -> Iterator[House]:
    path = shutil.copy(migrated_sqlite, tmp_path / "log.db")
    with serving(application, f"sqlite:///{path}") as found:
        yield found


@pytest.fixture
def house(application: Flask, opened_sqlite: tuple[Path, Keys], tmp_path: Path) -> Iterator[House]:
    template, keys = opened_sqlite
    path = shutil.copy(template, tmp_path / "log.db")
    with serving(application, f"sqlite:///{path}", keys) as found:
        yield found


@pytest.fixture
def protested(
    application: Flask, protested_sqlite: tuple[Path, Keys], tmp_path: Path
) -> Iterator[House]:
    template, keys = protested_sqlite
    path = shutil.copy(template, tmp_path / "log.db")
    with serving(application, f"sqlite:///{path}", keys) as found:
        found.trust.keys.make()
        yield found


@pytest.fixture(scope="session")
def migrated_postgres(lasting_postgres: Callable[[], str]) -> str:
    url = lasting_postgres()
    _migrate(url)
    return url


@pytest.fixture
def postgres_house(
    application: Flask, migrated_postgres: str, new_postgres: Callable[..., str]
) -> Iterator[House]:
    with serving(application, new_postgres(migrated_postgres)) as found:
        found.open_show()
        yield found


@pytest.fixture
def sqlite_application(migrated_sqlite: Path, tmp_path: Path) -> Iterator[Flask]:
    """An application of the test's own, for a test that changes it."""
    path = shutil.copy(migrated_sqlite, tmp_path / "log.db")
    app = create_app(Settings(database=f"sqlite:///{path}"))
    yield app
    here.desk_of(app).close()


def _keys_beside(url: str) -> Path | None:
    return Path(f"{url.removeprefix('sqlite:///')}.keys") if url.startswith("sqlite") else None


def _migrate(url: str) -> None:
    database = Database(url)
    migrate.upgrade(database)
    database.close()
