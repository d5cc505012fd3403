"""The log of a show: who did what at it, and why."""

from typing import Any

from tests.http.agreeing import agree
from tests.http.house import House, done, refused
from tests.http.test_divisions import DIVISIONS, SHOW, YOUTH

LOG = f"{SHOW}/log"
SEEN = {"division": "Youth", "exhibitor": "p-lind", "reason": "A passport was shown."}
PAPERS = {"division": "Youth", "horse": "h-smoke", "reason": "Papers were shown."}


def told(house: House, query: str = "?limit=500") -> dict[str, Any]:
    return agree(house.steward.get(LOG + query), "/v1/shows/three-rivers/log")


def test_the_log_of_a_show_says_whose_hand_it_was_and_why(house: House) -> None:
    done(house.office.post(DIVISIONS, YOUTH))
    done(house.steward.post(f"{SHOW}/evidence", SEEN))
    done(house.office.post(f"{SHOW}/evidence", PAPERS))
    number = {"number": 9, "exhibitor": "p-falk", "horse": "h-little"}
    done(house.office.post(f"{SHOW}/back-numbers", number))
    done(house.office.post(f"{SHOW}/officials", {"official": "p-ames", "role": "judge"}))
    back = {**SEEN, "reason": "It was somebody else's."}
    done(house.office.post(f"{SHOW}/evidence/take-back", back))
    log = told(house)
    seen = next(each for each in log["items"] if each["type"] == "show.evidence_seen")
    assert seen["actor"]["role"] == "steward"
    assert seen["data"] == SEEN
    assert log["items"][-1]["data"]["reason"] == "It was somebody else's."
    assert log["names"] == {
        "p-lind": "Karin Lind",
        "p-falk": "Ida Falk",
        "p-ames": "Judith Ames",
        "h-smoke": "Smoke Over Willow",
        "h-little": "Little Dun Dee",
    }
    assert log["version"] == log["items"][-1]["version"]


def test_the_log_of_a_show_comes_page_by_page(house: House) -> None:
    whole = [each["version"] for each in told(house)["items"]]
    assert whole == [1, 2, 3]
    first = told(house, "?limit=2")
    assert ([each["version"] for each in first["items"]], first["next"]) == ([1, 2], "2")
    rest = told(house, "?limit=2&after=2")
    assert ([each["version"] for each in rest["items"]], rest["next"]) == ([3], None)


def test_what_a_text_of_a_show_says_is_forgotten_for_good(house: House) -> None:
    done(house.office.post(DIVISIONS, YOUTH))
    version = done(house.office.post(f"{SHOW}/evidence", SEEN))["version"]
    withheld = f"{LOG}/{version}/withhold"
    assert done(house.office.post(withheld)) == {"withheld": 1}
    assert done(house.office.post(withheld)) == {"withheld": 0}
    assert told(house)["items"][-1]["data"]["reason"] == "withheld"
    [seen] = house.office.get(f"{SHOW}/evidence").get_json()["items"]
    assert seen["reason"] == "withheld"
    refused(house.office.post(f"{LOG}/1/withhold"), 404, "no_text_there")
    for beyond in (0, version + 1):
        refused(house.office.post(f"{LOG}/{beyond}/withhold"), 422, "at_unknown")


def test_the_log_of_a_show_is_for_the_office_and_the_steward(house: House) -> None:
    for hand in (house.federation, house.public, house.scribe("A")):
        refused(hand.get(LOG), 403, "role_not_allowed")
    refused(house.office.get("/v1/shows/none/log"), 404, "unknown_show")
    refused(house.steward.post(f"{LOG}/1/withhold"), 403, "role_not_allowed")
