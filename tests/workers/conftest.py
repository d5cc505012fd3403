"""A show with a ridden class on a database of the test's own, SQLite unless it asks for both."""

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from service.desk.desk import Desk
from service.publishing.links import Links
from service.store import migrate
from service.store.engine import Database
from service.trust.settings import TrustSettings
from service.trust.trust import Trust
from service.workers.publish import Publications
from service.workers.webhooks import Webhooks
from service.workers.works import Works
from tests.workers.clock import Clock
from tests.workers.office import ORIGIN, Office
from tests.workers.receiver import Receiver, receiving
from tests.workers.sending import LOOPBACK


def _with_a_show(url: str) -> None:
    database = Database(url)
    migrate.upgrade(database)
    office = Office(Desk(database))
    office.open_show()
    office.ride_class("c-1")
    database.close()


@pytest.fixture(scope="session")
def sqlite_template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A SQLite file with a show and its class c-1 in it, to be copied."""
    path = tmp_path_factory.mktemp("template") / "show.db"
    _with_a_show(f"sqlite:///{path}")
    return path


@pytest.fixture(scope="session")
def postgres_template(lasting_postgres: Callable[[], str]) -> str:
    """The same on PostgreSQL."""
    url = lasting_postgres()
    _with_a_show(url)
    return url


@pytest.fixture
def sqlite_path(sqlite_template: Path, tmp_path: Path) -> str:
    """The URL of a SQLite database of this test's own."""
    return f"sqlite:///{shutil.copy(sqlite_template, tmp_path / 'show.db')}"


@pytest.fixture
def postgres_path(postgres_template: str, new_postgres: Callable[..., str]) -> str:
    """The URL of a PostgreSQL database of this test's own."""
    return new_postgres(postgres_template)


@pytest.fixture
def url(request: pytest.FixtureRequest) -> str:
    """The URL of a SQLite database, or of what ``ON_BOTH`` asks for."""
    found: str = request.getfixturevalue(getattr(request, "param", "sqlite_path"))
    return found


@pytest.fixture
def clock() -> Clock:
    """The clock of the test, which stands still until it is moved."""
    return Clock()


@pytest.fixture
def desk(url: str, clock: Clock) -> Iterator[Desk]:
    """The desk on that database."""
    database = Database(url)
    yield Desk(database, clock)
    database.close()


@pytest.fixture
def office(desk: Desk) -> Office:
    """Whoever works there."""
    return Office(desk)


@pytest.fixture
def trust(desk: Desk, tmp_path: Path) -> Trust:
    """Whoever signs for the log, with a key of this test's own."""
    made = Trust(desk.database, TrustSettings(origin=ORIGIN, folder=tmp_path / "keys"), desk.clock)
    made.keys.make()
    return made


@pytest.fixture
def works(desk: Desk, trust: Trust) -> Works:
    """All the work there is for results, which may be told to the loopback address."""
    links = Links(base="https://results.example")
    made = Works(
        desk,
        [Publications(desk, trust, links)],
        [Webhooks(desk.database, LOOPBACK, desk.clock)],
        trust,
    )
    made.register()
    return made


@pytest.fixture
def receiver() -> Iterator[Receiver]:
    """A receiver of messages that is up."""
    with receiving() as found:
        yield found
