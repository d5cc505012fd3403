from typing import Any

import pytest

from service.http.action_kinds import KINDS
from tests.http.house import WHEN, House, done, refused

MARK = {"kind": "mark", "back_number": 214, "maneuver": 1, "mark": 1.5}


def total(house: House, back_number: int) -> float | None:
    found = done(house.office.get("/v1/classes/horsemanship/placing"))
    rows = {row["back_number"]: row for row in found["seats"][0]["rows"]}
    answer: float | None = rows[back_number]["total"]
    return answer


def test_one_refused_action_does_not_lose_the_others(house: House) -> None:
    scribe = house.seat_a()
    answers = scribe.act(
        "horsemanship",
        {**MARK, "mark": 1},
        {**MARK, "maneuver": 9},
        {**MARK, "maneuver": 2, "mark": 0.5},
    )
    assert [each["status"] for each in answers] == ["accepted", "refused", "accepted"]
    assert answers[1]["problem"]["code"] == "unknown_maneuver"
    assert answers[1]["problem"]["field"] == "maneuver"
    assert answers[2]["version"] == answers[0]["version"] + 1


@pytest.mark.parametrize(
    ("action", "field"),
    [
        ({**MARK, "mark": 0.3}, "mark"),
        ({**MARK, "mark": "1"}, "mark"),
        ({**MARK, "mark": True}, "mark"),
        ({**MARK, "mark": 10**400}, "mark"),
        ({**MARK, "mrak": 1}, "mrak"),
        ({**MARK, "maneuver": 0}, "maneuver"),
        ({**MARK, "maneuver": 1.5}, "maneuver"),
        ({**MARK, "occurred_at": "yesterday"}, "occurred_at"),
        ({**MARK, "occurred_at": "2026-05-09T14:03:07"}, "occurred_at"),
        ({**MARK, "occurred_at": "0001-01-01T00:00:00+14:00"}, "occurred_at"),
        ({**MARK, "expected_version": -1}, "expected_version"),
        ({**MARK, "back_number": None}, "back_number"),
        ({**MARK, "id": "spaces in it"}, "id"),
        ({"kind": "mark", "back_number": 214, "maneuver": 1}, "mark"),
        ({"kind": "outcome", "back_number": 214, "outcome": "rained off"}, "outcome"),
        ({"kind": "outcome", "back_number": 214, "outcome": "severe_fault"}, "outcome"),
        (
            {
                "kind": "outcome",
                "back_number": 214,
                "outcome": "off_pattern",
                "reason": "half a \N{EN DASH} \x00",
            },
            "reason",
        ),
        ({"kind": "order", "order": [{"back_number": 214}, {"back_number": "87"}]}, "order[1]"),
        ({"kind": "marks"}, "kind"),
        ({}, "kind"),
    ],
)
def test_an_action_that_cannot_be_read_is_refused_by_its_field(
    house: House, action: dict[str, Any], field: str
) -> None:
    scribe = house.seat_a()
    [bad, good] = scribe.act("horsemanship", action, MARK)
    assert bad["status"] == "refused"
    problem = bad["problem"]
    named = problem.get("field") or problem["errors"][0]["field"]
    assert named.startswith(field)
    assert problem["status"] == 422
    assert good["status"] == "accepted"


@pytest.mark.parametrize("junk", [7, None, "mark", [], [[1]], True])
def test_an_action_that_is_no_object_is_refused_and_the_others_are_kept(
    house: House, junk: object
) -> None:
    scribe = house.seat_a()
    good = {**MARK, "id": "1", "occurred_at": WHEN}
    path = "/v1/classes/horsemanship/actions"
    answers = done(scribe.post(path, {"actions": [junk, good]}))["answers"]
    assert [each["status"] for each in answers] == ["refused", "accepted"]
    assert answers[0]["id"] is None


def test_the_same_action_again_is_repeated_and_nothing_is_done_twice(house: House) -> None:
    scribe = house.seat_a()
    [first] = scribe.act("horsemanship", {**MARK, "id": "t3-1"})
    scribe.act("horsemanship", {**MARK, "mark": 0})
    [again] = scribe.act("horsemanship", {**MARK, "id": "t3-1"})
    assert first["status"] == "accepted"
    assert again == {"id": "t3-1", "status": "repeated", "version": first["version"]}
    card = done(scribe.get("/v1/classes/horsemanship/cards/A"))
    assert card["rides"][0]["marks"][0]["mark"] == 0


def test_a_long_batch_that_comes_again_with_more_is_done_once_and_in_order(house: House) -> None:
    scribe = house.seat_a()
    sent = [
        {**MARK, "id": f"t-{number}", "mark": number % 7 / 2, "occurred_at": WHEN}
        for number in range(130)
    ]
    sent[60]["maneuver"] = 9
    first = scribe.act("horsemanship", *sent[:120])
    again = scribe.act("horsemanship", *sent)
    assert [each["status"] for each in first] == ["accepted"] * 60 + ["refused"] + ["accepted"] * 59
    assert [each["status"] for each in again[:120]] == [
        each["status"].replace("accepted", "repeated") for each in first
    ]
    assert [each["status"] for each in again[120:]] == ["accepted"] * 10
    versions = [each["version"] for each in again if each["status"] != "refused"]
    assert versions == list(range(versions[0], versions[0] + 129))


def test_an_id_that_was_used_for_another_action_is_refused(house: House) -> None:
    scribe = house.seat_a()
    answers = scribe.act("horsemanship", {**MARK, "id": "t3-1"}, {**MARK, "id": "t3-1", "mark": 0})
    assert [each["status"] for each in answers] == ["accepted", "refused"]
    assert answers[1]["problem"]["code"] == "idempotency_key_reused"


def test_two_keys_may_use_the_same_ids(house: House) -> None:
    house.schedule(seats="AB")
    [one] = house.scribe("A").act("horsemanship", {**MARK, "id": "1"})
    [other] = house.scribe("B").act("horsemanship", {**MARK, "id": "1", "mark": 0})
    assert (one["status"], other["status"]) == ("accepted", "accepted")


def test_an_action_that_insists_on_a_version_is_refused_when_something_happened(
    house: House,
) -> None:
    scribe = house.seat_a()
    [first] = scribe.act("horsemanship", MARK)
    stale = {**MARK, "mark": 2, "expected_version": first["version"] - 1}
    fresh = {**MARK, "mark": 2, "expected_version": first["version"]}
    answers = scribe.act("horsemanship", stale, fresh)
    assert [each["status"] for each in answers] == ["refused", "accepted"]
    problem = answers[0]["problem"]
    assert (problem["status"], problem["code"]) == (412, "stale_version")
    assert problem["facts"]["version"] == first["version"]


def test_a_working_order_number_given_for_another_back_number_is_caught(house: House) -> None:
    scribe = house.seat_a()
    [answer] = scribe.act("horsemanship", {**MARK, "working_order": 2})
    assert answer["problem"]["code"] == "entry_numbers_disagree"
    assert "carries back number 87" in answer["problem"]["detail"]


def test_every_kind_of_action_reaches_the_card(house: House) -> None:
    scribe = house.seat_a()
    ride = {"back_number": 87}
    answers = scribe.act(
        "horsemanship",
        *({**MARK, **ride, "maneuver": at, "mark": 0} for at in (1, 2, 3)),
        {"kind": "rider_mark", **ride, "mark": 2},
        {"kind": "penalty", **ride, "maneuver": 2, "code": "cone-tick", "id": "pen-1"},
        {"kind": "penalty", **ride, "points": 5},
        {"kind": "withdraw_penalty", **ride, "call": "pen-1"},
        {"kind": "outcome", **ride, "outcome": "off_pattern", "reason": "Left out the stop."},
        {"kind": "lift_outcome", **ride},
        {"kind": "observe", **ride, "code": "eyes-down", "note": "Looked at the cone."},
        *({**MARK, "maneuver": at, "mark": -1.5} for at in (1, 2, 3)),
        {"kind": "rider_mark", "back_number": 214, "mark": 1.5},
        {"kind": "order", "order": [{"back_number": 214}, ride], "reason": "Softer at the jog."},
    )
    refusals = [each for each in answers if each["status"] != "accepted"]
    assert refusals == []
    assert total(house, 87) == 67
    card = done(scribe.get("/v1/classes/horsemanship/cards/A"))
    assert card["orders"][0]["reason"] == "Softer at the jog."


MINIMAL: dict[str, dict[str, Any]] = {
    "call": {"call": 1},
    "call_back": {"entries": [{"back_number": 214}]},
    "change_horse": {"horse": "h-copper"},
    "confirm_order": {"order_id": "o-1"},
    "excuse": {},
    "lift_outcome": {},
    "mark": {"maneuver": 1, "mark": 0.5},
    "missed_gate": {},
    "observe": {"code": "eyes-down"},
    "order": {"order": [{"back_number": 214}, {"back_number": 87}]},
    "out_of_order": {},
    "outcome": {"outcome": "off_pattern"},
    "penalty": {"points": 3},
    "place": {"order": [{"back_number": 214}, {"back_number": 87}]},
    "readmit": {"reason": "The wrong number was called."},
    "reinstate": {"reason": "Another rider had scratched."},
    "reride": {"reason": "A gate fell."},
    "rider_mark": {"mark": 1},
    "scratch": {},
    "sign": {},
    "time": {"milliseconds": 12_345},
    "withdraw_mark": {"maneuver": 1},
    "withdraw_observation": {"observation": "none"},
    "withdraw_order": {"order_id": "o-1"},
    "withdraw_penalty": {"call": "none"},
    "withdraw_rider_mark": {},
    "withdraw_time": {},
}
"""The least that each kind of action must carry."""


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_action_is_understood_with_the_least_that_it_must_carry(
    house: House, kind: str
) -> None:
    house.schedule()
    about: dict[str, dict[str, Any]] = {"seat": {"seat": "A"}, "entry": {"back_number": 5}}
    action = {"kind": kind, **MINIMAL[kind]}
    for part in KINDS[kind].about:
        action |= about[part]
    [answer] = house.office.act("horsemanship", action)
    if answer["status"] == "refused":  # by the rules of the trade, never for how it was sent
        assert answer["problem"]["code"] not in {"invalid", "unknown_kind"}


def test_an_office_key_says_whose_card_it_writes(house: House) -> None:
    house.schedule()
    [silent] = house.office.act("horsemanship", MARK)
    [spoken] = house.office.act("horsemanship", {**MARK, "seat": "A"})
    assert silent["problem"]["field"] == "seat"
    assert spoken["status"] == "accepted"


def test_a_scribe_cannot_write_on_another_card(house: House) -> None:
    house.schedule(seats="AB")
    [answer] = house.scribe("A").act("horsemanship", {**MARK, "seat": "B"})
    assert answer["problem"]["code"] == "other_seat"
    assert answer["problem"]["status"] == 403


def test_a_batch_for_no_class_is_refused_as_a_whole(house: House) -> None:
    body = {"actions": [{**MARK, "id": "1", "occurred_at": WHEN, "seat": "A"}]}
    refused(house.office.post("/v1/classes/nowhere/actions", body), 404, "unknown_class")


def test_a_batch_that_is_too_long_is_refused_as_a_whole(house: House) -> None:
    path = f"/v1/classes/{house.schedule()}/actions"
    answer = house.office.post(path, {"actions": [{"id": str(n)} for n in range(501)]})
    assert refused(answer, 422, "invalid")["field"] == "actions"


def test_the_batch_says_which_version_the_class_has_come_to(house: House) -> None:
    path = f"/v1/classes/{house.schedule()}/actions"
    action = {**MARK, "id": "1", "occurred_at": WHEN, "seat": "A"}
    answer = house.office.post(path, {"actions": [action]})
    assert answer.headers["ETag"] == f'"{answer.get_json()["version"]}"'
    tag = {"If-Match": answer.headers["ETag"]}
    done(
        house.office.post(
            "/v1/classes/horsemanship/seats", {"seat": "B", "judge": "p-baines"}, headers=tag
        )
    )
