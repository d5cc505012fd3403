"""The changes feed: what it tells, and that whoever follows it misses nothing."""

import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any, get_args

import pytest

from events.judged_class.events import ClassEvent
from events.season.events import SeasonEvent
from events.show.events import ShowEvent
from service.desk.changes import KINDS
from service.desk.told import HAPPENINGS, MEANINGS, PLANS, tags
from service.http import here, waiting
from service.reach import Reach
from service.trust.settings import TrustSettings
from tests.http.agreeing import agree
from tests.http.house import ORIGIN, SHOW, Hand, House, done, refused

PATH = "/v1/changes"
PLAN = {name: value for name, value in SHOW.items() if name != "id"}


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
    """What is told, but for what was set up when the show was opened."""
    return [
        (each["kind"], each["class"], each["revision"])
        for each in answer["items"]
        if each["kind"] != "show_changed"
    ]


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
        ("results_reopened", "horsemanship", None),
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


def test_results_posted_again_before_they_are_official_are_no_correction(house: House) -> None:
    house.judge(house.schedule())
    done(house.office.post("/v1/classes/horsemanship/results/post"))
    card = done(house.office.get("/v1/classes/horsemanship/cards/A"))
    mark = card["rides"][0]["marks"][0]
    body = {
        "seat": "A",
        "back_number": 214,
        "authority": "office_error",
        "reason": "The scribe took the wrong line.",
        "replaces": mark["version"],
        "fact": {"kind": "mark", "maneuver": 1, "mark": 0},
    }
    done(house.office.post("/v1/classes/horsemanship/corrections", body))
    house.make_official("horsemanship")
    house.work()
    results = [each for each in told(done(house.public.get(PATH))) if each[2] is not None]
    assert results == [("result_published", "horsemanship", 2)]


def test_standings_that_move_are_told_with_what_moved_them(house: House) -> None:
    house.open_season()
    house.judge(house.schedule())
    house.make_official("horsemanship")
    house.work()
    body = agree(house.federation.get(PATH), PATH)
    seen = [(each["kind"], each["season"]) for each in body["items"]]
    assert [each for each in seen if each[0] != "show_changed"] == [
        ("show_planned", None),
        ("season_opened", "hill-country-2026"),
        ("season_changed", "hill-country-2026"),
        ("season_changed", "hill-country-2026"),
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


def test_an_award_of_a_show_that_moves_is_told_of_that_show(house: House) -> None:
    house.open_season()
    house.open_award()
    done(house.office.post("/v1/shows", {**PLAN, "id": "other"}))
    house.judge(house.schedule())
    house.make_official("horsemanship")
    house.work()
    body = agree(house.federation.get(f"{PATH}?show=three-rivers"), PATH)
    told = [each for each in body["items"] if each["kind"] == "award_moved"]
    assert [(each["show"], each["season"]) for each in told] == [("three-rivers", None)] * 2
    published = [each for each in body["items"] if each["kind"] == "result_published"]
    assert told[1]["position"] == published[0]["position"]
    assert done(house.federation.get(told[0]["url"]))["items"][0]["award"] == "high-point"
    every = done(house.federation.get(f"{PATH}?kind=award_moved"))["items"]
    assert [each["position"] for each in every] == [each["position"] for each in told]
    seasons = done(house.federation.get(f"{PATH}?kind=standing_moved"))["items"]
    assert {each["season"] for each in seasons} == {"hill-country-2026"}
    other = done(house.federation.get(f"{PATH}?show=other"))["items"]
    assert "award_moved" not in {each["kind"] for each in other}


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
        "show_changed",  # a ring
        "show_changed",  # a rule book
        "season_opened",
        "season_changed",
        "season_changed",
        "standing_moved",
        "class_scheduled",
        "result_published",
        "standing_moved",
    ]


def test_whatever_changes_in_a_plan_is_told_with_where_to_read_it(season: House) -> None:
    season.open_season()
    season.work()
    after = done(season.federation.get(PATH))["head"]
    show = "/v1/shows/three-rivers"
    done(season.office.put(show, {**PLAN, "name": "Three Rivers Late Spring Show"}))
    slot = {"ring": "Main ring", "day": "2026-05-09", "slot": 1}
    done(season.office.put(f"{show}/classes/youth/slot", slot))
    done(season.office.post(f"{show}/back-numbers", {"number": 7, "exhibitor": "p-lind"}))
    why = {"reason": "It was another federation's."}
    done(season.federation.post("/v1/seasons/hill-country-2026/shows/three-rivers/drop", why))
    season.work()
    body = agree(season.federation.get(f"{PATH}?after={after}"), PATH)
    assert [(each["kind"], each["class"], each["url"]) for each in body["items"]] == [
        ("show_changed", None, show),
        ("class_moved", "youth", f"{show}/timetable?day=2026-05-09"),
        ("season_changed", None, "/v1/seasons/hill-country-2026"),
        ("standing_moved", None, body["items"][-1]["url"]),
    ]
    for item in body["items"]:
        assert season.federation.get(item["url"]).status_code == 200


def test_a_class_that_is_put_elsewhere_or_cancelled_is_told(season: House) -> None:
    later = f"/v1/classes/{season.schedule('later')}"
    season.work()
    after = done(season.federation.get(PATH))["head"]
    why = {"reason": "The ring is under water."}
    done(season.office.post(f"{later}/reschedule", {**why, "day": "2026-05-10"}))
    done(season.office.post(f"{later}/cancel", why))
    done(season.office.post(f"{later}/lift-cancellation", why))
    season.work()
    found = told(done(season.federation.get(f"{PATH}?after={after}")))
    assert found == 3 * [("class_changed", "later", None)]


def test_every_tag_that_changes_the_plan_of_a_class_is_that_of_an_event() -> None:
    assert {str(each.__struct_config__.tag) for each in get_args(ClassEvent)} >= PLANS


def test_every_event_of_a_show_or_a_season_is_told_or_concerns_single_exhibitors() -> None:
    untold = {
        "show.back_number_given",
        "show.back_number_taken_back",
        "show.evidence_seen",
        "show.evidence_taken_back",
    }
    for union in (ShowEvent, SeasonEvent):
        for kind in get_args(union):
            tag = kind.__struct_config__.tag
            assert (tag in tags(HAPPENINGS)) == (tag not in untold), tag


def test_every_kind_says_what_it_tells() -> None:
    assert set(MEANINGS) == set(KINDS)
    made = {"result_published", "result_corrected", "standing_moved", "award_moved"}
    assert set(KINDS) - made == HAPPENINGS


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
    assert told(after) == [
        ("results_reopened", "youth", None),
        ("result_corrected", "youth", 2),
        ("class_scheduled", "later", None),
    ]


def test_a_reader_may_follow_one_show_or_one_kind(season: House) -> None:
    elsewhere = done(season.federation.get(f"{PATH}?show=elsewhere"))
    assert told(elsewhere) == [("show_planned", None, None)]
    done(season.office.post("/v1/shows/elsewhere/rings", {"ring": "Only ring"}))
    season.work()
    [ring] = done(season.federation.get(f"{PATH}?show=elsewhere&kind=show_changed"))["items"]
    assert ring["show"] == "elsewhere"
    [again] = done(season.federation.get(f"{PATH}?show=three-rivers&kind=results_reopened"))[
        "items"
    ]
    assert again["class"] == "horsemanship"
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
    assert told(body) == [("results_reopened", "youth", None), ("result_corrected", "youth", 2)]


def test_whoever_finds_no_room_to_wait_is_answered_at_once(
    season: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    full = waiting.Room(1)
    monkeypatch.setattr("service.http.changes.ROOM", full)
    head = done(season.federation.get(PATH))["head"]
    with full.place() as found:
        assert found
        assert done(season.federation.get(f"{PATH}?after={head}&wait=20"))["items"] == []
