"""Being told that a class has moved on: the stream itself, and who is told what."""

from collections.abc import Iterator
from itertools import islice

import pytest

from service.http import waiting
from service.http.live import COMMENT, Rhythm, telling
from tests.http.house import SHOW, House, done, refused

PATH = "/v1/classes/horsemanship/live"


class Clock:
    """Time passes only while somebody sleeps."""

    def __init__(self) -> None:
        self.now = 0.0

    def __call__(self) -> float:
        return self.now

    def sleep(self, seconds: float) -> None:
        self.now += seconds


def stream(versions: list[int], known: int = 0, **rhythm: float) -> Iterator[bytes]:
    clock, left = Clock(), iter(versions)
    last = versions[-1]
    return telling(lambda: next(left, last), known, Rhythm(**rhythm), clock, clock.sleep)


def event(version: int) -> bytes:
    return f'id: {version}\nevent: version\ndata: {{"version":{version}}}\n\n'.encode()


def test_each_version_is_told_once() -> None:
    told = list(stream([3, 3, 4, 4, 4, 7], end=9))
    assert told == [event(3), event(4), event(7)]


def test_what_the_client_knows_is_not_told_again() -> None:
    assert list(stream([3, 3, 4], known=3, end=9)) == [event(4)]


def test_a_quiet_stream_shows_that_it_lives_and_ends() -> None:
    told = list(stream([5], look=1, comment=15, end=60))
    assert told == [event(5), COMMENT, COMMENT, COMMENT]


def test_the_stream_begins_with_where_the_class_is(house: House) -> None:
    house.schedule()
    version = done(house.office.get("/v1/classes/horsemanship"))["version"]
    answer = house.office.client.get(
        PATH, headers={"Authorization": f"Bearer {house.office.key}"}, buffered=False
    )
    assert answer.mimetype == "text/event-stream"
    assert answer.headers["Cache-Control"] == "no-store"
    assert answer.headers["X-Accel-Buffering"] == "no"
    assert list(islice(answer.response, 1)) == [event(version)]
    answer.close()


def test_the_public_is_told_of_official_results_alone(house: House) -> None:
    house.judge(house.schedule())
    house.make_official("horsemanship")
    official = done(house.office.get("/v1/classes/horsemanship"))["version"]
    why = {"authority": "office_error", "reason": "Read again."}
    done(house.office.post("/v1/classes/horsemanship/results/reopen", why))
    headers = {"Authorization": f"Bearer {house.public.key}"}
    answer = house.public.client.get(PATH, headers=headers, buffered=False)
    assert list(islice(answer.response, 1)) == [event(official)]
    answer.close()


def test_a_stream_that_finds_no_room_is_refused_until_another_ends(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("service.http.live.ROOM", waiting.Room(1))
    house.schedule()
    headers = {"Authorization": f"Bearer {house.office.key}"}
    first = house.office.client.get(PATH, headers=headers, buffered=False)
    second = house.office.get(PATH)
    refused(second, 503, "no_room_to_wait")
    assert second.headers["Retry-After"] == "15"
    first.close()
    third = house.office.client.get(PATH, headers=headers, buffered=False)
    assert third.status_code == 200
    third.close()


def test_what_cannot_be_followed_is_refused(house: House) -> None:
    refused(house.office.get("/v1/classes/nothing/live"), 404, "unknown_class")
    house.schedule()
    done(house.office.post("/v1/shows", SHOW | {"id": "elsewhere"}))
    refused(house.hand("office", show="elsewhere").get(PATH), 403, "other_show")
