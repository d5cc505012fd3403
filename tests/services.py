"""The servers that some tests need, and the databases of their own that those tests get."""

import contextlib
import functools
import os
import shutil
import uuid
from collections.abc import Callable, Iterator

import redis
from sqlalchemy import create_engine, make_url, text
from sqlalchemy.exc import OperationalError
from sqlalchemy.pool import NullPool

POSTGRES = os.environ.get(
    "RINGFOLD_TEST_POSTGRES", "postgresql+psycopg://postgres@127.0.0.1:5432/postgres"
)
REDIS = os.environ.get("RINGFOLD_TEST_REDIS", "redis://127.0.0.1:6379")
CHROMIUM = os.environ.get("RINGFOLD_TEST_CHROMIUM", "chromium")
RUN = os.environ.get("RINGFOLD_TEST_RUN", uuid.uuid4().hex[:8])
"""Part of every database's name, so that one run's leftovers can be found and dropped."""

CLAIM_SECONDS = 3600


def demanded() -> bool:
    """Whether a missing server is a failure, as in the full check, rather than a reason to skip."""
    return os.environ.get("RINGFOLD_DEMAND_SERVICES") == "1"


@functools.cache
def postgres_is_missing() -> str | None:
    """Why no PostgreSQL can be used, or ``None`` when one answers."""
    try:
        postgres_statement("SELECT 1")
    except OperationalError as error:
        return f"no PostgreSQL at {make_url(POSTGRES)!r}: {error.orig}"
    return None


@functools.cache
def redis_is_missing() -> str | None:
    """Why no Redis can be used, or ``None`` when one answers."""
    try:
        with redis.Redis.from_url(REDIS) as client:
            client.ping()
    except redis.ConnectionError as error:
        return f"no Redis at {REDIS}: {error}"
    return None


@functools.cache
def browser_is_missing() -> str | None:
    """Why no browser can be used, or ``None`` when there is one."""
    return None if shutil.which(CHROMIUM) else f"no browser: {CHROMIUM} is not on PATH"


MISSING: dict[str, Callable[[], str | None]] = {
    "postgres": postgres_is_missing,
    "redis": redis_is_missing,
    "browser": browser_is_missing,
}
"""Each marker of a test that needs a server, and the question whether the server is missing."""


def postgres_statement(sql: str) -> None:
    """Run one statement outside a transaction, as the server's administrator."""
    engine = create_engine(POSTGRES, poolclass=NullPool, connect_args={"connect_timeout": 5})
    with engine.connect() as connection:
        connection.execution_options(isolation_level="AUTOCOMMIT").execute(text(sql))


@contextlib.contextmanager
def postgres_database(template: str | None = None) -> Iterator[str]:
    """The URL of a new database, empty or a copy of the one at ``template``; dropped afterwards.

    A database can be copied only while nobody is connected to it.
    """
    name = f"ringfold_test_{RUN}_{uuid.uuid4().hex[:12]}"
    source = make_url(template).database if template else "template0"
    postgres_statement(f'CREATE DATABASE "{name}" TEMPLATE "{source}"')
    try:
        yield make_url(POSTGRES).set(database=name).render_as_string(hide_password=False)
    finally:
        postgres_statement(f'DROP DATABASE "{name}" WITH (FORCE)')


@contextlib.contextmanager
def redis_database() -> Iterator[str]:
    """The URL of an empty numbered database that no other test process uses meanwhile."""
    with redis.Redis.from_url(REDIS, db=0) as register:
        number = _claim(register)
        url = f"{REDIS}/{number}"
        try:
            yield url
        finally:
            empty_redis(url)
            register.delete(_claim_key(number))


def empty_redis(url: str) -> None:
    """Remove everything from the one numbered database at ``url``."""
    with redis.Redis.from_url(url) as client:
        client.flushdb()


def drop_leftovers() -> None:
    """Remove what this run's tests left on the servers because they were stopped half-way."""
    if not postgres_is_missing():
        for name in _databases_of_this_run():
            postgres_statement(f'DROP DATABASE "{name}" WITH (FORCE)')
    if not redis_is_missing():
        with redis.Redis.from_url(REDIS, db=0, decode_responses=True) as register:
            for number in range(1, 16):
                if register.get(_claim_key(number)) == RUN:
                    empty_redis(f"{REDIS}/{number}")
                    register.delete(_claim_key(number))


def _databases_of_this_run() -> list[str]:
    engine = create_engine(POSTGRES, poolclass=NullPool)
    with engine.connect() as connection:
        found = connection.execute(
            text("SELECT datname FROM pg_database WHERE datname LIKE :pattern"),
            {"pattern": f"ringfold\\_test\\_{RUN}\\_%"},
        )
        return list(found.scalars())


def _claim(register: redis.Redis) -> int:
    for number in range(1, 16):
        if register.set(_claim_key(number), RUN, nx=True, ex=CLAIM_SECONDS):
            with redis.Redis.from_url(f"{REDIS}/{number}") as client:
                if not client.dbsize():
                    return number
            register.delete(_claim_key(number))
    message = f"every numbered database of {REDIS} from 1 to 15 is in use; empty one with FLUSHDB"
    raise RuntimeError(message)


def _claim_key(number: int) -> str:
    return f"ringfold-test-claims-database-{number}"
