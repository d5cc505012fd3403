"""The fixtures hand out what they promise: databases of their own, empty, and gone afterwards."""

import contextlib
from collections.abc import Callable

import pytest
import redis
from sqlalchemy import create_engine, make_url, text
from sqlalchemy.exc import OperationalError
from sqlalchemy.pool import NullPool

from tests import services


def _run(url: str, sql: str) -> None:
    with create_engine(url, poolclass=NullPool).begin() as connection:
        connection.execute(text(sql))


def test_a_copied_database_starts_with_its_templates_rows(new_postgres: Callable[..., str]) -> None:
    template = new_postgres()
    _run(template, "CREATE TABLE ride AS SELECT 7 AS back_number")
    copy = new_postgres(template)
    _run(copy, "INSERT INTO ride VALUES (8)")
    with create_engine(copy, poolclass=NullPool).connect() as connection:
        rows = connection.execute(text("SELECT back_number FROM ride ORDER BY 1")).scalars().all()
    assert rows == [7, 8]


@pytest.mark.postgres
def test_a_database_is_dropped_even_while_somebody_is_connected() -> None:
    with services.postgres_database() as url:
        engine = create_engine(url)
        held = engine.connect()
    held.invalidate()
    engine.dispose()
    with pytest.raises(OperationalError, match="does not exist"):
        _run(url, "SELECT 1")


@pytest.mark.redis
def test_two_claimed_redis_databases_are_different_and_left_empty() -> None:
    with services.redis_database() as first, services.redis_database() as second:
        with redis.Redis.from_url(first) as client:
            client.set("ride", "7")
        with redis.Redis.from_url(second) as client:
            assert client.get("ride") is None
    with redis.Redis.from_url(first) as client:
        assert client.dbsize() == 0


def test_each_test_gets_an_empty_redis_database(redis_url: str) -> None:
    with redis.Redis.from_url(redis_url) as client:
        assert client.dbsize() == 0


def test_every_lasting_database_is_another_one_of_this_run(
    lasting_postgres: Callable[[], str],
) -> None:
    names = {str(make_url(lasting_postgres()).database) for _ in range(2)}
    assert len(names) == 2
    assert all(name.startswith(f"ringfold_test_{services.RUN}_") for name in names)


@pytest.mark.postgres
@pytest.mark.redis
def test_what_a_killed_run_left_on_the_servers_is_dropped(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(services, "RUN", "killed")
    with contextlib.ExitStack() as never_left:
        postgres = never_left.enter_context(services.postgres_database())
        claimed = never_left.enter_context(services.redis_database())
        with redis.Redis.from_url(claimed) as client:
            client.set("ride", "7")
            never_left.pop_all()
            services.drop_leftovers()
            assert client.dbsize() == 0
    with pytest.raises(OperationalError, match="does not exist"):
        _run(postgres, "SELECT 1")
