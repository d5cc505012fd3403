"""How much one client may ask, and what it is told of it."""

import pytest
from flask import Flask

from service.app import requests_of
from service.config import Settings
from service.http import limits
from service.http.limits import Limiter
from service.workers.compose import SettingUnusable
from tests.http.house import House, done, refused


class Clock:
    """The seconds of a test."""

    def __init__(self) -> None:
        self.now = 120.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def limited(sqlite_application: Flask, clock: Clock) -> House:
    limits.limit(sqlite_application, Limiter(3, clock))
    return House(sqlite_application)


def test_each_answer_tells_what_is_left(limited: House, clock: Clock) -> None:
    clock.now += 20
    for left in ("2", "1", "0"):
        answer = limited.office.get("/v1/shows")
        assert answer.status_code == 200
        assert answer.headers["X-RateLimit-Limit"] == "3"
        assert answer.headers["X-RateLimit-Remaining"] == left
        assert answer.headers["X-RateLimit-Reset"] == "40"
        # draft-ietf-httpapi-ratelimit-headers, sections 3 and 4 (from memory)
        assert answer.headers["RateLimit-Policy"] == '"minute";q=3;w=60'
        assert answer.headers["RateLimit"] == f'"minute";r={left};t=40'


def test_what_is_too_much_is_refused_until_the_minute_is_over(limited: House, clock: Clock) -> None:
    for _ in range(3):
        done(limited.office.get("/v1/shows"))
    answer = limited.office.get("/v1/shows")
    refused(answer, 429, "too_many_requests")
    assert answer.headers["Retry-After"] == "60"
    assert answer.headers["X-RateLimit-Remaining"] == "0"
    clock.now += 60
    done(limited.office.get("/v1/shows"))


def test_one_client_takes_nothing_from_another(limited: House) -> None:
    for _ in range(5):
        limited.office.get("/v1/shows")
    done(limited.steward.get("/v1/shows"))
    refused(limited.nobody.get("/v1/shows"), 401, "key_missing")


def test_a_forged_secret_uses_up_nothing_of_the_key_it_names(limited: House) -> None:
    key = limited.keys["office"]
    forged = {"Authorization": f"Bearer {key[:-4]}xxxx"}
    for _ in range(5):
        limited.app.test_client().get("/v1/shows", headers=forged)
    done(limited.office.get("/v1/shows"))


def test_whoever_watches_the_server_is_not_limited(limited: House) -> None:
    assert {limited.nobody.get("/healthz").status_code for _ in range(9)} == {200}


def test_without_a_limit_nothing_is_told_of_one(house: House) -> None:
    assert "X-RateLimit-Limit" not in house.office.get("/v1/shows").headers


@pytest.mark.parametrize("said", ["many", "-1", "1.5", "9" * 10])
def test_a_limit_that_is_no_number_is_refused(said: str) -> None:
    with pytest.raises(SettingUnusable, match="RINGFOLD_REQUESTS_PER_MINUTE"):
        requests_of(Settings(requests_per_minute=said))
