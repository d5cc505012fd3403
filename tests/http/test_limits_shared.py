"""What clients ask of several processes, counted together, and what becomes of it without Redis."""

import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor

import pytest
import redis
from structlog.testing import capture_logs
from structlog.typing import EventDict

from service.app import counting
from service.config import Settings
from service.http.limits import WINDOW, Limiter
from service.http.limits_shared import QUIET_AFTER_FAILURE, SharedLimiter
from service.workers.compose import SettingUnusable
from tests.http.test_limits import Clock
from tests.workers.test_compose import free_port

NOBODY_LISTENS = "redis://127.0.0.1:{}/0"


@pytest.fixture
def told() -> Iterator[list[EventDict]]:
    """What the journal is told."""
    with capture_logs() as found:
        yield found


@pytest.fixture
def two(redis_url: str) -> tuple[SharedLimiter, SharedLimiter]:
    """Two processes' counting, behind one Redis."""
    return SharedLimiter(5, redis_url), SharedLimiter(5, redis_url)


def test_what_is_asked_of_one_process_is_gone_for_the_other(
    two: tuple[SharedLimiter, SharedLimiter],
) -> None:
    one, other = two
    assert [one.ask("k").left, other.ask("k").left, one.ask("k").left] == [4, 3, 2]
    assert other.ask("somebody else").left == 4


def test_many_at_once_are_each_counted_once(two: tuple[SharedLimiter, SharedLimiter]) -> None:
    start = threading.Barrier(8)

    def ask(number: int) -> list[int]:
        start.wait()
        return [two[number % 2].ask("k").left for _ in range(25)]

    with ThreadPoolExecutor(8) as pool:
        left = [each for found in pool.map(ask, range(8)) for each in found]
    assert sorted(left) == list(range(5 - 200, 5))


def test_a_count_expires_with_its_minute(
    two: tuple[SharedLimiter, SharedLimiter], redis_url: str
) -> None:
    found = two[0].ask("k")
    assert 1 <= found.refreshed_in <= WINDOW
    with redis.Redis.from_url(redis_url) as server:
        [key] = server.keys("ringfold:asked:*")
        assert 0 < server.ttl(key) <= WINDOW
        server.pexpire(key, 1)
        while server.exists(key):
            time.sleep(0.001)
    assert two[1].ask("k").left == 4


def test_a_redis_that_is_not_there_stops_nobody_and_the_journal_is_told_once(
    told: list[EventDict],
) -> None:
    clock = Clock()
    counted = SharedLimiter(3, NOBODY_LISTENS.format(free_port()), clock)
    assert [counted.ask("k").left for _ in range(4)] == [2, 1, 0, -1]
    clock.now += QUIET_AFTER_FAILURE
    assert counted.ask("k").left == -2
    [line] = told
    assert (line["event"], line["log_level"]) == ("limits_counted_apart", "warning")
    assert "ConnectionError" in line["reason"]


def test_once_redis_answers_again_the_count_is_one_again(
    redis_url: str, told: list[EventDict], monkeypatch: pytest.MonkeyPatch
) -> None:
    clock = Clock()
    counted, other = SharedLimiter(9, redis_url, clock), SharedLimiter(9, redis_url)
    other.ask("k")
    with monkeypatch.context() as away:
        away.setattr(counted._redis.connection_pool, "get_connection", _refuse)  # noqa: SLF001 - a wire is cut
        assert counted.ask("k").left == 8
    assert counted.ask("k").left == 7  # it is left alone for a while
    clock.now += QUIET_AFTER_FAILURE
    assert counted.ask("k").left == 7
    assert [each["event"] for each in told] == ["limits_counted_apart", "limits_counted_together"]


def test_a_connection_that_was_closed_meanwhile_is_opened_again(
    redis_url: str, told: list[EventDict]
) -> None:
    counted = SharedLimiter(9, redis_url)
    counted.ask("k")
    with redis.Redis.from_url(redis_url) as server:
        mine = server.client_id()
        here = [each for each in server.client_list() if each["db"] == redis_url.rsplit("/", 1)[1]]
        for each in here:
            if int(each["id"]) != mine:
                server.client_kill_filter(_id=each["id"])
    assert counted.ask("k").left == 7
    assert told == []


def test_the_settings_say_whether_processes_count_together(redis_url: str) -> None:
    assert counting(Settings(requests_per_minute="0", redis=redis_url)) is None
    assert isinstance(counting(Settings()), Limiter)
    assert isinstance(counting(Settings(redis=redis_url)), SharedLimiter)
    with pytest.raises(SettingUnusable, match="RINGFOLD_REDIS"):
        counting(Settings(redis="somewhere"))


def _refuse(*_: object, **__: object) -> None:
    raise redis.ConnectionError("cut")
