from hashlib import sha256
from typing import Any

from tests.http.house import House, done, refused

PATH = "/v1/classes/horsemanship"


def order(house: House) -> list[int]:
    found = done(house.office.get(PATH))
    numbers = {entry["entry"]: entry["back_number"] for entry in found["entries"]}
    return [numbers[entry] for entry in found["draw"]]


def test_anybody_can_draw_the_lots_again_from_the_recorded_seed(house: House) -> None:
    house.schedule()
    done(house.office.post(f"{PATH}/draw", {"by_lot": {}}))
    events = done(house.federation.get(f"{PATH}/log?limit=500"))["items"]
    drawn = [each for each in events if each["type"] == "class.draw_set" and "seed" in each["data"]]
    if drawn:  # a lottery may also give the order that stood
        seed = drawn[-1]["data"]["seed"]
        assert order(house) == sorted(
            (5, 87, 214), key=lambda number: sha256(f"{seed}:{number}".encode()).hexdigest()
        )


def test_lots_are_drawn_from_the_seed_that_the_office_brings(house: House) -> None:
    house.schedule()
    seed = "three dice: 4 1 6"
    done(house.office.post(f"{PATH}/draw", {"by_lot": {"seed": seed}}))
    assert order(house) == sorted(
        (5, 87, 214), key=lambda number: sha256(f"{seed}:{number}".encode()).hexdigest()
    )


def test_a_draw_is_changed_for_a_reason_that_the_log_keeps(house: House) -> None:
    house.schedule()
    body = {
        "order": [{"back_number": 5}, {"entry": "e87"}, {"back_number": 214, "entry": "e214"}],
        "reason": "Two horses of one rider ran back to back.",
    }
    done(house.steward.post(f"{PATH}/draw", body))
    assert order(house) == [5, 87, 214]
    last = done(house.steward.get(f"{PATH}/log?limit=500"))["items"][-1]
    assert (last["type"], last["data"]["reason"]) == ("class.draw_repaired", body["reason"])


def test_a_draw_that_leaves_somebody_out_is_refused_by_its_place(house: House) -> None:
    house.schedule()
    for entries, code, field in (
        ([{"back_number": 5}], "draw_leaves_out", "order"),
        ([{"back_number": 5}, {"back_number": 6}], "unknown_back_number", "order[1]"),
        ([{"back_number": 5}, {"entry": "e5"}], "draw_names_twice", "order[1]"),
        ([{"back_number": 5}, {}], "entry_not_named", "order[1]"),
    ):
        answer = house.office.post(f"{PATH}/draw", {"order": entries})
        assert refused(answer, 422, code)["field"] == field


def test_nobody_can_be_drawn_in_an_empty_class(house: House) -> None:
    body = {"id": "empty", "name": "Empty", "rulebook": "western-horsemanship"}
    done(house.office.post("/v1/shows/three-rivers/classes", body))
    refused(house.office.post("/v1/classes/empty/draw", {"by_lot": {}}), 409, "nobody_to_draw")


def test_a_scratched_entry_leaves_the_placing_and_the_class_size(house: House) -> None:
    house.schedule()
    done(house.office.post(f"{PATH}/entries/e5/scratch", {"reason": "The horse is lame."}))
    found = done(house.office.get(f"{PATH}/placing"))
    assert found["class_size"] == 2
    assert {row["back_number"] for row in found["seats"][0]["rows"]} == {214, 87}
    entries = {each["entry"]: each for each in done(house.office.get(PATH))["entries"]}
    assert [entries[name]["scratched"] for name in ("e5", "e87")] == [True, False]


def test_the_gate_calls_three_times_and_records_who_did_not_come(house: House) -> None:
    house.schedule()
    entry = f"{PATH}/entries/e87"
    refused(house.steward.post(f"{entry}/calls", {"call": 2}), 409, "call_out_of_turn")
    for call in (1, 2, 3):
        done(house.steward.post(f"{entry}/calls", {"call": call}))
    done(house.steward.post(f"{entry}/missed-gate"))
    shown = {each["entry"]: each for each in done(house.office.get(PATH))["entries"]}
    assert (shown["e87"]["calls"], shown["e87"]["gate"]) == (3, "missed_gate")
    done(house.office.post(f"{PATH}/entries/e5/excused", {"reason": "Felt unwell."}))
    shown = {each["entry"]: each for each in done(house.office.get(PATH))["entries"]}
    assert shown["e5"]["gate"] == "excused"
    refused(house.office.post(f"{PATH}/entries/e99/missed-gate"), 422, "unknown_entry")


def test_who_rode_out_of_order_is_recorded_and_who_rides_again_is_called_anew(house: House) -> None:
    house.schedule()
    entry = f"{PATH}/entries/e87"
    for call in (1, 2, 3):
        done(house.steward.post(f"{entry}/calls", {"call": call}))
    mark = {"kind": "mark", "back_number": 87, "maneuver": 1, "mark": 1}
    house.scribe("A").act("horsemanship", mark)
    done(house.steward.post(f"{entry}/out-of-order"))
    shown = {each["entry"]: each for each in done(house.office.get(PATH))["entries"]}
    assert (shown["e87"]["out_of_order"], shown["e214"]["out_of_order"]) == (True, False)
    refused(house.steward.post(f"{entry}/re-ride", {}), 422, "invalid")
    done(house.steward.post(f"{entry}/re-ride", {"reason": "A gate blew open."}))
    [ride] = [
        each
        for each in done(house.office.get(f"{PATH}/cards/A"))["rides"]
        if each["back_number"] == 87
    ]
    assert ride["marks"][0]["mark"] is None
    done(house.steward.post(f"{entry}/calls", {"call": 1}))
    refused(house.public.post(f"{entry}/re-ride", {"reason": "Please."}), 403, "role_not_allowed")


def test_an_entry_names_registered_riders_and_horses(house: House) -> None:
    house.schedule()
    body: dict[str, Any] = {"back_number": 9, "exhibitor": "p-lind"}
    for further, code, field in (
        ({"exhibitor": "p-nobody"}, "person_not_registered", "exhibitor"),
        ({"horse": "h-nobody"}, "horse_not_registered", "horse"),
    ):
        answer = house.office.post(f"{PATH}/entries", {**body, **further})
        assert refused(answer, 422, code)["field"] == field
    done(house.office.delete("/v1/people/p-lind"))
    refused(house.office.post(f"{PATH}/entries", body), 409, "person_erased")


def test_an_entry_without_an_id_is_given_one_and_entered_once(house: House) -> None:
    house.schedule()
    body = {"back_number": 9, "exhibitor": "p-baines"}
    first = done(house.office.post(f"{PATH}/entries", body, command="nine"))
    assert done(house.office.post(f"{PATH}/entries", body, command="nine")) == first
    assert len(done(house.office.get(PATH))["entries"]) == 4
    refused(house.office.post(f"{PATH}/entries", body), 409, "back_number_taken")
