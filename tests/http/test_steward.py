"""What the office and the steward do once cards are signed."""

from typing import Any

import pytest

from tests.http.house import House, done, refused

PATH = "/v1/classes/horsemanship"
PROTEST = {
    "protest": "pr-2",
    "filed_by": "p-falk",
    "ground": "arithmetic",
    "statement": "My third maneuver was left out.",
    "back_number": 87,
    "seat": "A",
    "fee_paid": True,
}


def card(house: House, back_number: int) -> dict[str, Any]:
    rides = done(house.office.get(f"{PATH}/cards/A"))["rides"]
    found: dict[str, Any] = next(each for each in rides if each["back_number"] == back_number)
    return found


def test_a_protest_is_upheld_and_the_correction_follows_through(protested: House) -> None:
    house = protested
    refused(house.steward.post(f"{PATH}/results/make-official"), 409, "protest_open")
    ruling = {"verdict": "upheld", "reason": "The card adds up to 74.5."}
    refused(house.office.post(f"{PATH}/protests/pr-1/rule", ruling), 403, "role_not_allowed")
    done(house.steward.post(f"{PATH}/protests/pr-1/rule", ruling))
    body = {
        "seat": "A",
        "back_number": 87,
        "authority": "ruling",
        "protest": "pr-1",
        "reason": "As ruled.",
        "replaces": card(house, 87)["marks"][0]["version"],
        "fact": {"kind": "mark", "maneuver": 1, "mark": 2.5},
    }
    done(house.steward.post(f"{PATH}/corrections", body))
    refused(house.steward.post(f"{PATH}/results/make-official"), 409, "posting_out_of_date")
    house.make_official("horsemanship")
    rows = done(house.public.get(f"{PATH}/placing"))["seats"][0]["rows"]
    assert [(row["back_number"], row["total"]) for row in rows] == [
        (87, 74.5),
        (214, 74),
        (5, 72),
    ]
    assert done(house.public.get(f"{PATH}/placing"))["revision"] == 2


def test_protests_are_read_with_who_filed_them_and_how_they_ended(protested: House) -> None:
    house = protested
    done(house.office.post(f"{PATH}/protests", PROTEST))
    done(house.office.post(f"{PATH}/protests/pr-2/withdraw"))
    ruling = {"verdict": "denied", "reason": "It adds up."}
    done(house.steward.post(f"{PATH}/protests/pr-1/rule", ruling))
    listed = {each["protest"]: each for each in done(house.office.get(f"{PATH}/protests"))["items"]}
    assert listed["pr-1"]["standing"] == "denied"
    assert listed["pr-1"]["reason"] == "It adds up."
    assert listed["pr-2"]["standing"] == "withdrawn"
    one = done(house.steward.get(f"{PATH}/protests/pr-2"))
    assert one["filed_by"] == {"id": "p-falk", "name": "Ida Falk"}
    assert (one["entry"], one["seat"]) == ("e87", "A")
    assert one["statement"] == "My third maneuver was left out."
    refused(house.steward.get(f"{PATH}/protests/pr-9"), 404, "unknown_protest")
    before = one["filed"] - 1
    refused(house.steward.get(f"{PATH}/protests/pr-2?at={before}"), 404, "unknown_protest")


def test_a_judges_opinion_may_not_be_protested(protested: House) -> None:
    ground = PROTEST | {"ground": "judges-opinion"}
    answer = protested.office.post(f"{PATH}/protests", ground)
    problem = refused(answer, 422, "ground_not_protestable")
    assert problem["field"] == "ground"
    assert problem["rule"].startswith("western-horsemanship")


def test_a_signed_card_refuses_a_mark_and_can_be_given_back(house: House) -> None:
    house.judge(house.schedule())
    mark = {"kind": "mark", "back_number": 87, "maneuver": 1, "mark": 1}
    scribe = house.scribe("A")
    [answer] = scribe.act("horsemanship", mark)
    assert (answer["problem"]["code"], answer["problem"]["status"]) == ("card_is_signed", 409)
    done(house.steward.post(f"{PATH}/cards/A/reopen", {"reason": "Signed the wrong card."}))
    [answer] = scribe.act("horsemanship", mark)
    assert answer["status"] == "accepted"


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"fact": {"kind": "mark", "maneuver": 1}}, "fact.mark"),
        ({"fact": {"kind": "sign"}}, "fact.kind"),
        ({"fact": 7}, "fact.kind"),
        ({"authority": "nobody"}, "authority"),
        ({"reason": ""}, "reason"),
        ({"seat": None}, "seat"),
        ({"replaces": "12"}, "replaces"),
    ],
)
def test_a_correction_that_cannot_be_read_is_refused_by_its_field(
    house: House, change: dict[str, Any], field: str
) -> None:
    house.judge(house.schedule())
    body = {"seat": "A", "back_number": 87, "authority": "judge", "reason": "Misheard.", **change}
    problem = refused(house.office.post(f"{PATH}/corrections", body), 422, "invalid")
    assert field in {problem.get("field"), *(each["field"] for each in problem["errors"])}


def test_official_results_are_reopened_for_an_error_of_the_office(house: House) -> None:
    house.judge(house.schedule())
    house.make_official("horsemanship")
    body = {
        "seat": "A",
        "back_number": 87,
        "authority": "office_error",
        "reason": "Two cards were swapped.",
        "replaces": card(house, 87)["marks"][0]["version"],
        "fact": {"kind": "mark", "maneuver": 1, "mark": 1},
    }
    refused(house.office.post(f"{PATH}/corrections", body), 409, "wrong_phase")
    reopening = {"authority": "office_error", "reason": "Two cards were swapped."}
    done(house.office.post(f"{PATH}/results/reopen", reopening))
    done(house.office.post(f"{PATH}/corrections", body))
    house.make_official("horsemanship")
    assert done(house.public.get(f"{PATH}/placing"))["revision"] == 2


def test_a_text_is_withheld_and_the_event_stands(protested: House) -> None:
    house = protested
    filed = done(house.steward.get(f"{PATH}/protests/pr-1"))["filed"]
    assert done(house.office.post(f"{PATH}/log/{filed}/withhold")) == {"withheld": 1}
    assert done(house.office.post(f"{PATH}/log/{filed}/withhold")) == {"withheld": 0}
    assert done(house.steward.get(f"{PATH}/protests/pr-1"))["statement"] == "withheld"
    event = done(house.steward.get(f"{PATH}/log?after={filed - 1}&limit=1"))["items"][0]
    assert (event["version"], event["data"]["statement"]) == (filed, "withheld")
    refused(house.office.post(f"{PATH}/log/1/withhold"), 404, "no_text_there")
    refused(house.office.post(f"{PATH}/log/999/withhold"), 422, "at_unknown")


def test_the_log_is_read_page_by_page_up_to_a_moment(house: House) -> None:
    house.judge(house.schedule())
    latest = done(house.steward.get(PATH))["version"]
    versions: list[int] = []
    address = f"{PATH}/log?limit=7&at={latest - 1}"
    while address:
        answer = house.steward.get(address)
        versions += [each["version"] for each in done(answer)["items"]]
        link = answer.headers.get("Link", "")
        address = link.removeprefix("<").removesuffix('>; rel="next"')
    assert versions == list(range(1, latest))
