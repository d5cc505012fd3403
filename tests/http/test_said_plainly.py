"""What a refusal says to whoever reads it: which field, what there is, and what to do."""

import gzip
import json
from typing import Any

import pytest

from tests.http.house import House, done, refused

CLASS = "/v1/classes/horsemanship"
PEOPLE = "/v1/people"


def act(house: House, **action: object) -> dict[str, Any]:
    [answer] = house.seat_a().act("horsemanship", action)
    assert answer["status"] == "refused", answer
    problem: dict[str, Any] = answer["problem"]
    return problem


@pytest.mark.parametrize(
    ("path", "advice"),
    [("/v1/shows?after=yesterday", "Take `after` from"), ("/v1/nowhere", "address")],
)
def test_a_problem_without_a_detail_of_its_own_says_what_to_do(
    house: House, path: str, advice: str
) -> None:
    body = house.office.get(path).json
    assert body
    assert advice in body["detail"]


def test_a_name_that_stands_twice_in_one_object_is_refused(house: House) -> None:
    body = b'{"name": "Karin Lind", "contact": null, "name": "Ida Falk"}'
    answer = house.office.client.post(
        PEOPLE,
        data=body,
        content_type="application/json",
        headers={"Authorization": f"Bearer {house.keys['office']}", "Idempotency-Key": "twice"},
    )
    problem = refused(answer, 400, "bad_json")
    assert (problem["field"], problem["detail"]) == (
        "name",
        "'name' stands twice in one object: which is meant?",
    )


def test_a_body_in_a_coding_that_is_not_read_is_refused_as_such(house: House) -> None:
    answer = house.office.client.post(
        PEOPLE,
        data=gzip.compress(json.dumps({"name": "Karin Lind"}).encode()),
        content_type="application/json",
        headers={
            "Authorization": f"Bearer {house.keys['office']}",
            "Idempotency-Key": "packed",
            "Content-Encoding": "gzip",
        },
    )
    problem = refused(answer, 415, "content_coding_unknown")
    assert problem["field"] == "Content-Encoding"
    assert answer.headers["Accept-Encoding"] == "identity"


@pytest.mark.parametrize("name", ["\u200b", " \u2060 ", "\u202eKarin", "Karin\u2066"])
def test_a_name_that_cannot_be_seen_or_turns_its_line_round_is_refused(
    house: House, name: str
) -> None:
    assert refused(house.office.post(PEOPLE, {"name": name}), 422, "invalid")["field"] == "name"


def test_a_name_from_right_to_left_is_kept_as_it_is_without_the_spaces_around_it(
    house: House,
) -> None:
    done(house.office.post(PEOPLE, {"id": "p-rtl", "name": " \u05e0\u05d5\u05e2\u05d4\u200f "}))
    assert done(house.office.get(f"{PEOPLE}/p-rtl"))["name"] == "\u05e0\u05d5\u05e2\u05d4\u200f"


def test_a_ring_has_one_way_to_be_written(house: House) -> None:
    path = "/v1/shows/three-rivers/rings"
    done(house.office.post(path, {"ring": "Upper ring"}))
    assert done(house.office.post(path, {"ring": " Upper ring "}))["events"] == 0
    problem = refused(house.office.post(path, {"ring": "upper Ring"}), 409, "ring_name_taken")
    assert (problem["field"], problem["facts"]["ring"]) == ("ring", "Upper ring")


@pytest.mark.parametrize(
    ("named", "field"),
    [({"working_order": 9}, "working_order"), ({"back_number": 9}, "back_number")],
)
def test_a_number_that_nobody_has_is_the_field_at_fault(
    house: House, named: dict[str, int], field: str
) -> None:
    house.schedule()
    assert act(house, kind="mark", maneuver=1, mark=0, **named)["field"] == field


def test_a_penalty_of_no_such_size_says_which_sizes_there_are(house: House) -> None:
    house.schedule()
    problem = act(house, kind="penalty", back_number=214, points=4)
    assert problem["code"] == "unknown_penalty_size"
    assert problem["detail"] == "The rule book has no penalty of 4 points; it has: 3, 5, 10."


def test_a_show_or_class_id_that_is_taken_is_named(house: House) -> None:
    house.schedule()
    other = {"id": "horsemanship", "name": "Another", "rulebook": "western-horsemanship"}
    answer = house.office.post("/v1/shows/three-rivers/classes", other)
    assert "horsemanship" in refused(answer, 409, "class_id_taken")["detail"]
    plan = done(house.office.get("/v1/shows/three-rivers"))
    kept = ("id", "place", "time_zone", "first_day", "last_day")
    again = {"name": "Another", **{key: plan[key] for key in kept}}
    answer = house.office.post("/v1/shows", again)
    assert "three-rivers" in refused(answer, 409, "show_id_taken")["detail"]


@pytest.mark.parametrize("named", ["entry=e87", "back_number=87", "working_order=2"])
def test_an_entry_is_explained_by_whichever_number_the_rider_knows(
    protested: House, named: str
) -> None:
    found = done(protested.steward.get(f"{CLASS}/explain?seat=A&{named}"))
    assert found["entry"] == "e87"


def test_what_cannot_be_explained_is_said_by_its_field(protested: House) -> None:
    steward = protested.steward
    problem = refused(steward.get(f"{CLASS}/explain?seat=A"), 422, "entry_not_named")
    assert problem["field"] == "entry"
    problem = refused(steward.get(f"{CLASS}/explain?seat=Q&entry=e87"), 422, "unknown_seat")
    assert problem["detail"] == "There is no seat Q; seated: A."


def test_a_fact_that_does_not_fit_a_what_if_is_found_where_it_was_sent(protested: House) -> None:
    fact = {"kind": "mark", "maneuver": 1, "mark": 9}
    body = {"add": [{"seat": "A", "back_number": 214, "fact": fact}]}
    answer = protested.steward.post(f"{CLASS}/what-if", body)
    assert refused(answer, 422, "mark_out_of_range")["field"] == "add[0].fact.mark"
    body = {"add": [{"seat": "A", "back_number": 9, "fact": fact}]}
    answer = protested.steward.post(f"{CLASS}/what-if", body)
    assert refused(answer, 422, "unknown_back_number")["field"] == "add[0].back_number"


def test_an_award_that_does_not_hold_together_is_refused_by_the_field_that_was_sent(
    house: House,
) -> None:
    house.open_season()
    body = {
        "award": "high-point",
        "name": "High point",
        "carrier": "rider",
        "points": "one-per-entry-beaten",
        "categories": [{"name": "All"}, {"name": "All"}],
    }
    answer = house.federation.post("/v1/seasons/hill-country-2026/awards", body)
    assert refused(answer, 422, "category_twice")["field"] == "categories[1].name"


def test_a_time_whose_plus_was_lost_on_the_way_says_how_to_write_it(protested: House) -> None:
    answer = protested.steward.get(f"{CLASS}/placing?at=2026-05-09T14:03:00+02:00")
    assert refused(answer, 422, "at_unknown")["detail"].endswith("In an address, + is written %2B.")


def test_a_table_takes_the_highest_back_number_that_an_entry_takes(house: House) -> None:
    house.schedule()
    table = "back_number,exhibitor,horse\n{},p-lind,h-smoke\n"
    for number, faults in ((100_000, 0), (100_001, 1)):
        body = {"csv": table.format(number), "dry_run": True}
        found = done(house.office.post(f"{CLASS}/entries/import", body))
        assert len(found["faults"]) == faults


def test_a_workbook_that_is_none_is_at_fault_as_a_whole(house: House) -> None:
    house.schedule()
    answer = house.office.post(f"{CLASS}/entries/import", {"xlsx": "bm9uc2Vuc2U="})
    [fault] = refused(answer, 422, "import_refused")["errors"]
    assert fault["field"] == "xlsx"
