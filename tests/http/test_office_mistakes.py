"""What the office, the gate and the scribe got wrong, and how it is put right over HTTP."""

from datetime import UTC, datetime
from typing import Any

from tests.http.house import House, done, refused

PATH = "/v1/classes/horsemanship"
WHY = {"reason": "Another number was called."}


def entries(house: House) -> dict[str, dict[str, Any]]:
    return {each["entry"]: each for each in done(house.office.get(PATH))["entries"]}


def test_a_gate_decision_is_undone_and_the_entry_stands_as_before(house: House) -> None:
    house.schedule()
    before = entries(house)
    done(house.office.post(f"{PATH}/entries/e87/missed-gate"))
    assert entries(house)["e87"]["gate"] == "missed_gate"
    done(house.steward.post(f"{PATH}/entries/e87/readmit", WHY))
    assert entries(house) == before
    last = done(house.office.get(f"{PATH}/log?limit=500"))["items"][-1]
    assert last["type"] == "class.entry_readmitted"
    assert last["data"]["reason"] == "Another number was called."
    wrong = refused(house.steward.post(f"{PATH}/entries/e87/readmit", {}), 422, "invalid")
    assert wrong["errors"][0]["field"] == "reason"


def test_what_a_readmission_moved_is_compared_and_audited(house: House) -> None:
    house.schedule()
    [out] = house.office.act("horsemanship", {"kind": "excuse", "back_number": 87})
    [back] = house.office.act("horsemanship", {"kind": "readmit", "back_number": 87, **WHY})
    of = f"{PATH}/compare?from={out['version']}&to={back['version']}"
    changes = done(house.steward.get(of))["changes"]
    assert [each["kind"] for each in changes] == ["gate"]
    assert changes[0]["after"] is None
    found = done(house.steward.get(f"{PATH}/audit"))["findings"]
    [undone] = [each for each in found if each["kind"] == "gate_decision_undone"]
    assert undone["versions"] == [out["version"], back["version"]]


def test_after_posting_a_readmission_says_on_whose_word(house: House) -> None:
    house.schedule()
    house.judge("horsemanship")
    done(house.office.post(f"{PATH}/results/post"))
    wrong = refused(house.office.post(f"{PATH}/entries/e87/excused", {}), 409, "wrong_phase")
    assert wrong["facts"]["phase"] == "posted"
    [answer] = house.office.act("horsemanship", {"kind": "readmit", "back_number": 87, **WHY})
    assert answer["status"] == "accepted"  # it had not been excused: it is so already


def test_a_scratch_is_undone_while_entries_are_taken_and_later_for_an_error(house: House) -> None:
    house.schedule()
    show = "/v1/shows/three-rivers"
    slot = {
        "ring": "Main ring",
        "day": "2026-05-09",
        "slot": 1,
        "not_before": "09:00",
        "seconds_a_ride": 300,
    }
    done(house.office.put(f"{show}/classes/horsemanship/slot", slot))
    limits = {"late_entry": 30, "scratch": 0, "horse_change": 0}
    done(house.office.put(f"{show}/deadlines", limits))
    house.desk.clock = lambda: datetime(2026, 5, 9, 13, 29, tzinfo=UTC)
    done(house.office.post(f"{PATH}/entries/e87/scratch", {}))
    done(house.office.post(f"{PATH}/entries/e87/reinstate", WHY))
    assert entries(house)["e87"]["scratched"] is False
    done(house.office.post(f"{PATH}/entries/e87/scratch", {}))
    house.desk.clock = lambda: datetime(2026, 5, 9, 13, 31, tzinfo=UTC)
    again = f"{PATH}/entries/e87/reinstate"
    refused(house.office.post(again, WHY), 409, "deadline_passed")
    done(house.office.post(again, {**WHY, "office_error": True}))
    assert entries(house)["e87"]["scratched"] is False


def test_a_batch_takes_back_what_was_written_for_the_wrong_entry(house: House) -> None:
    scribe = house.seat_a()
    wrong, right = {"back_number": 214}, {"back_number": 87}
    mark = {"kind": "mark", "maneuver": 1, "mark": 1.5}
    answers = scribe.act(
        "horsemanship",
        {**mark, **wrong},
        {"kind": "rider_mark", "mark": 3, **wrong},
        {"kind": "observe", "code": "eyes-down", "id": "seen-1", **wrong},
        {"kind": "withdraw_mark", "maneuver": 1, **wrong},
        {"kind": "withdraw_rider_mark", **wrong},
        {"kind": "withdraw_observation", "observation": "seen-1", **wrong},
        {**mark, **right},
        {"kind": "rider_mark", "mark": 3, **right},
    )
    assert {each["status"] for each in answers} == {"accepted"}
    rides = {ride["back_number"]: ride for ride in done(scribe.get(f"{PATH}/cards/A"))["rides"]}
    assert rides[214]["marks"][0]["mark"] is None
    assert (rides[214]["rider_mark"], rides[214]["observations"]) == (None, [])
    assert (rides[87]["marks"][0]["mark"], rides[87]["rider_mark"]) == (1.5, 3)


def test_results_wait_for_the_time_for_protests_or_for_a_reason(house: House) -> None:
    house.schedule()
    house.judge("horsemanship")
    done(house.office.post(f"{PATH}/results/post"))
    wrong = refused(house.office.post(f"{PATH}/results/make-official"), 409, "protests_not_over")
    assert wrong["field"] == "reason"
    assert wrong["facts"]["until"][:16] == done(house.office.get(PATH))["protests_until"][:16]
    done(house.office.post(f"{PATH}/results/make-official", {"reason": "All have gone home."}))
    last = done(house.office.get(f"{PATH}/log?limit=500"))["items"][-1]
    assert last["data"] == {"revision": 1, "reason": "All have gone home."}


def test_a_new_order_on_a_card_that_was_official_says_on_whose_word(house: House) -> None:
    house.schedule()
    house.judge("horsemanship")
    house.make_official("horsemanship")
    erred = {"authority": "office_error", "reason": "The rail work was read backwards."}
    done(house.office.post(f"{PATH}/results/reopen", erred))
    order = {"kind": "order", "seat": "A", "order": [{"back_number": 87}, {"back_number": 5}]}
    silent, spoken = house.steward.act("horsemanship", order, {**order, **erred})
    assert silent["problem"]["code"] == "authority_missing"
    assert silent["problem"]["field"] == "authority"
    assert spoken["status"] == "accepted", spoken
    [shown] = done(house.office.get(f"{PATH}/cards/A"))["orders"]
    assert [line["milliseconds"] for line in shown["basis"]] == [None, None]


def test_a_refusal_points_at_the_number_that_was_sent(house: House) -> None:
    house.schedule()
    mark = {"kind": "mark", "seat": "A", "maneuver": 1, "mark": 0}
    for named in ({"back_number": 999}, {"working_order": 9}, {"entry": "e999"}):
        [answer] = house.office.act("horsemanship", {**mark, **named})
        assert answer["problem"]["field"] in named
    outcome = {"kind": "outcome", "seat": "A", "back_number": 87, "outcome": "no_score"}
    [answer] = house.office.act("horsemanship", outcome)
    assert answer["problem"]["field"] == "outcome"
    house.judge("horsemanship")
    body = {
        "seat": "A",
        "back_number": 87,
        "authority": "judge",
        "reason": "Misheard.",
        "fact": {"kind": "outcome", "outcome": "no_score"},
    }
    sent = house.office.post(f"{PATH}/corrections", body)
    wrong = refused(sent, 422, "outcome_not_in_rule_book")
    assert wrong["field"] == "fact.outcome"
    lost = house.office.post(f"{PATH}/corrections", {**body, "back_number": 999})
    assert refused(lost, 422, "unknown_back_number")["field"] == "back_number"
