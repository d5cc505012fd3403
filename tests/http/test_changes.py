"""The changes feed: what it tells, and that whoever follows it misses nothing."""

import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from service.http import here, waiting
from service.reach import Reach
from service.trust.settings import TrustSettings
from tests.http.agreeing import agree
from tests.http.house import ORIGIN, SHOW, Hand, House, done, refused

PATH = "/v1/changes"


@pytest.fixture
def season(house: House) -> House:
    """Two classes, one of which was corrected, and a second show; all of it published."""
    for class_id in ("horsemanship", "youth"):
        house.judge(house.schedule(class_id))
        house.make_official(class_id)
    done(house.office.post("/v1/shows", SHOW | {"id": "elsewhere"}))
    house.correct("horsemanship")
    house.work()
    return house


def told(answer: dict[str, Any]) -> list[tuple[Any, ...]]:
    return [(each["kind"], each["class"], each["revision"]) for each in answer["items"]]


def walk(hand: Hand, query: str = "", after: str = "0") -> Iterator[dict[str, Any]]:
    """Page after page until there is no more for now."""
    while True:
        page = done(hand.get(f"{PATH}?after={after}{query}"))
        yield page
        if page["next"] == page["head"]:
            return
        assert int(page["next"]) > int(after)
        after = page["next"]


def test_everything_is_told_once_in_the_order_of_the_log(season: House) -> None:
    body = agree(season.federation.get(PATH), PATH)
    assert told(body) == [
        ("show_planned", None, None),
        ("class_scheduled", "horsemanship", None),
        ("result_published", "horsemanship", 1),
        ("class_scheduled", "youth", None),
        ("result_published", "youth", 1),
        ("show_planned", None, None),
        ("result_corrected", "horsemanship", 2),
    ]
    assert body["next"] == body["head"] == str(season.desk.log.head().position)
    for item in body["items"]:
        assert season.federation.get(item["url"]).status_code == 200


@pytest.mark.parametrize("limit", [1, 2, 3, 7, 8])
def test_pages_of_any_size_tell_the_same(season: House, limit: int) -> None:
    whole = done(season.federation.get(PATH))["items"]
    pages = list(walk(season.federation, f"&limit={limit}"))
    assert [item for page in pages for item in page["items"]] == whole
    assert all(len({item["position"] for item in page["items"]}) <= limit for page in pages)


def test_standings_that_move_are_told_with_what_moved_them(house: House) -> None:
    house.open_season()
    house.judge(house.schedule())
    house.make_official("horsemanship")
    house.work()
    body = agree(house.federation.get(PATH), PATH)
    assert [(each["kind"], each["season"]) for each in body["items"]] == [
        ("show_planned", None),
        ("season_opened", "hill-country-2026"),
        ("standing_moved", "hill-country-2026"),
        ("class_scheduled", None),
        ("result_published", None),
        ("standing_moved", "hill-country-2026"),
    ]
    published, moved = body["items"][-2:]
    assert published["position"] == moved["position"]
    [turn] = done(house.federation.get(moved["url"]))["items"]
    assert turn["position"] == moved["position"]
    before = published["position"] - 1
    page = done(house.federation.get(f"{PATH}?after={before}&limit=1"))
    assert [each["kind"] for each in page["items"]] == ["result_published", "standing_moved"]


def test_on_postgresql_the_same_is_told(postgres_house: House, tmp_path: Path) -> None:
    house = postgres_house
    here.furnish(house.app, TrustSettings(origin=ORIGIN, folder=tmp_path), Reach())
    assert done(house.federation.get(PATH))["head"] == "0"
    house.open_season()
    house.judge(house.schedule())
    house.make_official("horsemanship")
    house.work()
    pages = list(walk(house.federation, "&limit=2"))
    assert [item["kind"] for page in pages for item in page["items"]] == [
        "show_planned",
        "season_opened",
        "standing_moved",
        "class_scheduled",
        "result_published",
        "standing_moved",
    ]


def test_the_cursor_is_there_also_when_nothing_is(season: House) -> None:
    head = done(season.federation.get(PATH))["head"]
    answer = season.federation.get(f"{PATH}?after={head}")
    assert done(answer) == {"items": [], "next": head, "head": head}
    assert answer.headers["Link"] == f'<{PATH}?after={head}&limit=100>; rel="next"'
    known = {"If-None-Match": answer.headers["ETag"]}
    assert season.federation.get(f"{PATH}?after={head}", known).status_code == 304


def test_nothing_is_told_beyond_what_was_published(season: House) -> None:
    """A class scheduled now comes after results that are official and not published yet."""
    before = done(season.federation.get(PATH))
    season.correct("youth")
    season.schedule("later")
    assert done(season.federation.get(PATH)) == before
    season.work()
    after = done(season.federation.get(f"{PATH}?after={before['next']}"))
    assert told(after) == [("result_corrected", "youth", 2), ("class_scheduled", "later", None)]


def test_a_reader_may_follow_one_show_or_one_kind(season: House) -> None:
    elsewhere = done(season.federation.get(f"{PATH}?show=elsewhere"))
    assert told(elsewhere) == [("show_planned", None, None)]
    corrected = done(season.federation.get(f"{PATH}?kind=result_corrected&limit=1"))
    assert told(corrected) == [("result_corrected", "horsemanship", 2)]
    [*pages] = walk(season.federation, "&kind=result_corrected&limit=1")
    assert sum(len(page["items"]) for page in pages) == 1


def test_a_key_of_one_show_follows_that_one(season: House) -> None:
    bound = season.hand("federation", show="elsewhere")
    assert told(done(bound.get(PATH))) == [("show_planned", None, None)]
    refused(bound.get(f"{PATH}?show=three-rivers"), 403, "other_show")


def test_before_any_worker_has_run_nothing_is_told(house: House) -> None:
    assert done(house.federation.get(PATH)) == {"items": [], "next": "0", "head": "0"}


def test_a_cursor_of_another_log_is_refused(season: House) -> None:
    beyond = season.desk.log.head().position + 1
    answer = season.federation.get(f"{PATH}?after={beyond}")
    assert refused(answer, 422, "position_unknown")["field"] == "after"
    refused(season.federation.get(f"{PATH}?after=x"), 422, "cursor_unknown")
    refused(season.federation.get(f"{PATH}?wait=21"), 422, "invalid")
    refused(season.federation.get(f"{PATH}?kind=gossip"), 422, "invalid")
    refused(season.federation.get(f"{PATH}?show=nowhere"), 404, "unknown_show")


def test_whoever_waits_is_told_as_soon_as_it_is_published(season: House) -> None:
    head = done(season.federation.get(PATH))["head"]
    season.correct("youth")
    worker = threading.Timer(0.2, season.work)
    worker.start()
    body = done(season.federation.get(f"{PATH}?after={head}&wait=20"))
    worker.join()
    assert told(body) == [("result_corrected", "youth", 2)]


def test_whoever_finds_no_room_to_wait_is_answered_at_once(
    season: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    full = waiting.Room(1)
    monkeypatch.setattr("service.http.changes.ROOM", full)
    head = done(season.federation.get(PATH))["head"]
    with full.place() as found:
        assert found
        assert done(season.federation.get(f"{PATH}?after={head}&wait=20"))["items"] == []


SEASON = "hill-country-2026"
STANDINGS = f"/v1/seasons/{SEASON}/standings?award=high-point&limit=500"


class Copy:
    """A federation's own copy of what was published and of a standing, kept by the feed alone."""

    def __init__(self, hand: Hand) -> None:
        self._hand = hand
        self.cursor = "0"
        self.documents: dict[tuple[str, int], bytes] = {}
        self.rows: list[Any] = []

    def step(self, limit: int, *, dies: bool) -> None:
        """One page is taken over; whoever dies on the way has not kept where to go on."""
        page = done(self._hand.get(f"{PATH}?after={self.cursor}&limit={limit}"))
        for item in page["items"]:
            if item["revision"] is not None:
                document = self._hand.get(f"{item['url']}/document")
                self.documents[item["class"], item["revision"]] = document.data
            elif item["kind"] == "standing_moved":
                self.rows = done(self._hand.get(STANDINGS))["rows"]
            if dies:
                return
        self.cursor = page["next"]


@settings(
    max_examples=5,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(st.lists(st.sampled_from(["class", "correct", "work", "follow", "die"]), max_size=12))
def test_a_federation_stopped_and_started_at_random_holds_what_is_served(
    house: House, happenings: list[str]
) -> None:
    copy, classes = Copy(house.federation), held_already(house)
    if house.federation.get(f"/v1/seasons/{SEASON}").status_code != 200:
        house.open_season()
    for number, happening in enumerate(happenings):
        match happening:
            case "class":
                name = f"class-{len(classes)}"
                house.judge(house.schedule(name))
                house.make_official(name)
                classes.append(name)
            case "correct" if classes:
                correct_again(house, classes[number % len(classes)])
            case "work":
                house.work()
            case _:
                copy.step(1 + number % 3, dies=happening == "die")
    house.work()
    while copy.cursor != done(house.federation.get(PATH))["head"]:
        copy.step(2, dies=False)
    assert copy.documents == served(house, classes)
    assert copy.rows == done(house.federation.get(STANDINGS))["rows"]


def held_already(house: House) -> list[str]:
    listed = done(house.federation.get("/v1/shows/three-rivers/classes"))["items"]
    return [each["id"] for each in listed]


def correct_again(house: House, name: str) -> None:
    """Opened again and made official again; the first time with other places."""
    if len(done(house.federation.get(f"/v1/classes/{name}/publications"))["items"]) == 1:
        house.correct(name)
        return
    why = {"authority": "office_error", "reason": "Read again."}
    done(house.office.post(f"/v1/classes/{name}/results/reopen", why))
    house.make_official(name)


def served(house: House, classes: list[str]) -> dict[tuple[str, int], bytes]:
    found = {}
    for name in classes:
        path = f"/v1/classes/{name}/publications"
        for each in done(house.federation.get(path))["items"]:
            answer = house.federation.get(f"{each['url']}/document")
            found[name, each["revision"]] = answer.data
    return found
