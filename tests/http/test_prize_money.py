"""Prize money over HTTP: awarded, gone stale, taken back, and owed over a show."""

import csv
import io
from typing import Any

import pytest

from tests.http.agreeing import agree
from tests.http.house import SHOW as SHOWN
from tests.http.house import House, done, refused

PATH = "/v1/classes/horsemanship/prize-money"
SHOW = "/v1/shows/three-rivers/prize-money"
TEMPLATE = "/v1/classes/{class_id}/prize-money"
PURSE = {"cents": 100_001, "percentages": ["43", "33", "23"]}
WHY = {"reason": "The protest was upheld."}


@pytest.fixture
def official(house: House) -> House:
    """An official class: 214 first, 87 and 5 sharing second place."""
    house.judge(house.schedule())
    house.make_official("horsemanship")
    return house


def paid(answer: dict[str, Any]) -> dict[int, int]:
    [purse] = answer["items"]
    return {prize["back_number"]: prize["cents"] for prize in purse["prizes"]}


def test_a_purse_is_awarded_and_read_with_what_is_left_of_it(official: House) -> None:
    done(official.office.post(PATH, PURSE))
    found = agree(official.public.get(PATH), TEMPLATE)
    # Sport of Kings barrel futurity, three qualifying: 43, 33, 23, which come to 99 per cent.
    assert paid(found) == {214: 43_000, 87: 28_000, 5: 28_000}
    [purse] = found["items"]
    left = purse["unscheduled"] + purse["unfilled"] + purse["odd_cents"]
    assert purse["paid"] + left == purse["purse"] == 100_001
    assert (purse["standing"], purse["percentages"]) == ("stands", PURSE["percentages"])
    assert purse["prizes"][1]["percent"] == "28"
    assert purse["prizes"][0]["exhibitor"]["name"] == "Karin Lind"
    log = done(official.office.get("/v1/classes/horsemanship/log?limit=200"))["items"]
    assert log[purse["version"] - 1]["type"] == "prize_money.awarded"
    assert log[purse["results"] - 1]["type"] == "results.made_official"


def test_a_correction_makes_prize_money_stale_until_it_is_awarded_anew(official: House) -> None:
    done(official.office.post(PATH, PURSE))
    version = done(official.office.get(PATH))["version"]
    official.correct("horsemanship")  # entry 87 wins from now on
    found = done(official.public.get(PATH))
    assert found["items"][0]["standing"] == "stale"
    assert paid(found) == {214: 43_000, 87: 28_000, 5: 28_000}
    assert done(official.office.get(SHOW))["purses"][0]["standing"] == "stale"
    refused(official.office.post(PATH, PURSE), 422, "reason_missing")
    done(official.office.post(PATH, PURSE | WHY))
    found = done(official.office.get(PATH))
    assert paid(found) == {87: 43_000, 214: 33_000, 5: 23_000}
    assert found["items"][0]["reason"] == WHY["reason"]
    assert done(official.federation.get(PATH))["items"][0]["reason"] == "withheld"
    before = done(official.office.get(f"{PATH}?at={version}"))
    assert paid(before) == {214: 43_000, 87: 28_000, 5: 28_000}
    assert before["items"][0]["standing"] == "stands"


def test_while_results_are_open_again_prize_money_is_said_to_be_open(official: House) -> None:
    done(official.office.post(PATH, PURSE))
    why = {"authority": "office_error", "reason": "A line was misread."}
    done(official.office.post("/v1/classes/horsemanship/results/reopen", why))
    assert done(official.public.get(PATH))["items"][0]["standing"] == "open"
    refused(official.office.post(PATH, PURSE | {"cents": 5} | WHY), 409, "wrong_phase")
    done(official.office.post("/v1/classes/horsemanship/results/post"))
    done(official.office.post("/v1/classes/horsemanship/results/make-official", WHY))
    assert done(official.public.get(PATH))["items"][0]["standing"] == "stands"


def test_a_purse_is_taken_back(official: House) -> None:
    done(official.office.post(PATH, PURSE))
    done(official.office.post(f"{PATH}/withdraw", {"reason": "It was for another class."}))
    assert done(official.office.get(PATH))["items"] == []
    assert done(official.office.get(SHOW))["exhibitors"] == []


def test_prize_money_is_awarded_by_the_office_on_official_results(house: House) -> None:
    house.judge(house.schedule())
    refused(house.office.post(PATH, PURSE), 409, "wrong_phase")
    refused(house.public.get(PATH), 404, "no_official_results")
    assert done(house.steward.get(PATH))["items"] == []
    house.make_official("horsemanship")
    for hand in (house.steward, house.federation, house.public):
        refused(hand.post(PATH, PURSE), 403, "role_not_allowed")
        refused(hand.post(f"{PATH}/withdraw", WHY), 403, "role_not_allowed")
    for hand in (house.federation, house.public):
        refused(hand.get(SHOW), 403, "role_not_allowed")
    done(house.office.post("/v1/shows", SHOWN | {"id": "another"}))
    bound = house.hand("office", show="another")
    refused(bound.post(PATH, PURSE), 403, "other_show")
    refused(bound.get(PATH), 403, "other_show")
    refused(bound.get(SHOW), 403, "other_show")


@pytest.mark.parametrize(
    ("changes", "status", "code", "field"),
    [
        ({"cents": 0}, 422, "invalid", "cents"),
        ({"percentages": ["60", "50"]}, 422, "schedule_unfit", "percentages"),
        ({"percentages": []}, 422, "invalid", "percentages"),
        ({"percentages": ["half"]}, 422, "invalid", "percentages[0]"),
        ({"division": "youth"}, 422, "unknown_division", "division"),
        ({"seat": "C"}, 422, "result_not_named", "seat"),
    ],
)
def test_a_purse_that_cannot_be_awarded_is_refused_by_the_field(
    official: House, changes: dict[str, Any], status: int, code: str, field: str
) -> None:
    assert refused(official.office.post(PATH, PURSE | changes), status, code)["field"] == field


def test_a_show_owes_what_its_purses_hold_less_what_they_state_to_be_left(house: House) -> None:
    for class_id in ("horsemanship", "second"):
        house.judge(house.schedule(class_id))
        house.make_official(class_id)
    done(house.office.post(PATH, PURSE))
    between = house.desk.log.head().position
    second = {"cents": 1_000, "percentages": ["60", "40"], "odd_cents": "to_first"}
    done(house.office.post("/v1/classes/second/prize-money", second))
    found = agree(house.office.get(SHOW), "/v1/shows/{show_id}/prize-money")
    assert found["purse"] == 100_001 + 1_000
    assert found["paid"] + found["left"] == found["purse"]
    assert found["paid"] == sum(each["cents"] for each in found["exhibitors"])
    assert found["left"] == sum(
        each["unscheduled"] + each["unfilled"] + each["odd_cents"] for each in found["purses"]
    )
    owed = {each["exhibitor"]["name"]: each["cents"] for each in found["exhibitors"]}
    assert owed == {
        "Ida Falk": 28_000 + 200,
        "Karin Lind": 43_000 + 600,
        "Per Nord": 28_000 + 200,
    }
    assert [each["class"] for each in found["exhibitors"][0]["prizes"]] == [
        "horsemanship",
        "second",
    ]
    assert done(house.office.get(f"{SHOW}?at={between}"))["purse"] == 100_001
    today = f"{house.desk.clock():%Y-%m-%d}"
    assert done(house.steward.get(f"{SHOW}?at={today}")) == found
    assert done(house.steward.get(f"{SHOW}?at=2020-01-01"))["purses"] == []
    assert done(house.steward.get(f"{SHOW}?at=2020-01-01T10:00:00Z"))["purses"] == []


def test_what_a_show_owes_comes_as_csv(official: House) -> None:
    done(official.office.post(PATH, PURSE))
    answer = official.office.get(SHOW, headers={"Accept": "text/csv"})
    rows = list(csv.DictReader(io.StringIO(answer.text)))
    assert [(row["exhibitor"], row["horse"], row["cents"]) for row in rows] == [
        ("Ida Falk", "Little Dun Dee", "28000"),
        ("Karin Lind", "Smoke Over Willow", "43000"),
        ("Per Nord", "Copper Lane", "28000"),
    ]


@pytest.mark.parametrize("at", ["99999", "2999-01-01", "2999-01-01T00:00:00Z"])
def test_a_moment_that_has_not_come_is_refused(house: House, at: str) -> None:
    assert refused(house.office.get(f"{SHOW}?at={at}"), 422, "moment_unknown")["field"] == "at"
