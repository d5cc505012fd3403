"""Fixtures for every test, and what happens when a server that a test needs is not there."""

import contextlib
import os
from collections.abc import Callable, Iterator

import pytest
from hypothesis import settings

from tests import services

# The same examples on every run of the full check; no example fails for being slow.
settings.register_profile("house", derandomize="CI" in os.environ, deadline=None, print_blob=True)
settings.load_profile("house")

NEEDS = {"lasting_postgres": "postgres", "new_postgres": "postgres", "redis_url": "redis"}
NEEDS["chromium"] = "browser"


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark each test by the servers that its fixtures need."""
    for item in items:
        for fixture in getattr(item, "fixturenames", ()):
            if fixture in NEEDS:
                item.add_marker(NEEDS[fixture])


@pytest.hookimpl(tryfirst=True)
def pytest_runtest_setup(item: pytest.Item) -> None:
    """Skip a test whose server is missing, or fail it where every server is demanded."""
    for marker, missing in services.MISSING.items():
        reason = missing() if item.get_closest_marker(marker) else None
        if reason and services.demanded():
            pytest.fail(reason, pytrace=False)
        if reason:
            pytest.skip(reason)


@pytest.fixture(scope="session")
def lasting_postgres() -> Iterator[Callable[[], str]]:
    """Makes empty databases that last as long as this process: to be filled once and copied from.

    Each template gets one of its own, so that no test finds what another's template holds.
    """
    with contextlib.ExitStack() as databases:

        def make() -> str:
            return databases.enter_context(services.postgres_database())

        yield make


@pytest.fixture
def new_postgres() -> Iterator[Callable[..., str]]:
    """Makes databases for one test: ``new_postgres()`` empty, ``new_postgres(url)`` a copy.

    The log refuses DELETE and TRUNCATE, so a clean table means a new database.
    """
    with contextlib.ExitStack() as databases:

        def make(template: str | None = None) -> str:
            return databases.enter_context(services.postgres_database(template))

        yield make


@pytest.fixture(scope="session")
def _redis_database() -> Iterator[str]:
    with services.redis_database() as url:
        yield url


@pytest.fixture
def redis_url(_redis_database: str) -> Iterator[str]:
    """An empty Redis database, emptied again afterwards."""
    yield _redis_database
    services.empty_redis(_redis_database)


@pytest.fixture(scope="session")
def chromium() -> str:
    """The browser's command."""
    return services.CHROMIUM
