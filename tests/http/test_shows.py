from typing import Any

import pytest

from events.rulebook.load import digest, to_document
from service.books import shipped_book
from tests.http.house import SHOW, House, done, refused
from tests.http.test_schedule import queries

BOOK = "western-horsemanship"
TOML = """
id = "barn-league"
edition = "2026"
title = "Barn league"
notice = "Check it against the handbook in force."

[scale]
base = 60
source = "common practice"

[scale.mark]
lowest = -1
highest = 1
step = 0.5
source = "common practice"

[rail]
role = "none"
source = "common practice"

[panel]
method = "separate"
source = "common practice"
"""


def test_a_list_is_read_page_by_page_by_its_links(house: House) -> None:
    made = [f"show-{n}" for n in range(5)]
    for name in made:
        done(house.office.post("/v1/shows", SHOW | {"id": name}))
    found: list[str] = []
    address: str | None = "/v1/shows?limit=2"
    pages = 0
    while address:
        answer = house.office.get(address)
        page = done(answer)
        found += [each["id"] for each in page["items"]]
        link = answer.headers.get("Link")
        assert (link is None) == (page["next"] is None)
        address = link and link.removeprefix("<").removesuffix('>; rel="next"')
        pages += 1
    assert found == ["three-rivers", *made]
    assert pages == 3


def test_classes_are_listed_in_the_order_of_scheduling_with_their_stage(house: House) -> None:
    house.judge(house.schedule("first"))
    house.schedule("second")
    listed = done(house.public.get("/v1/shows/three-rivers/classes"))["items"]
    assert [(each["id"], each["phase"]) for each in listed] == [
        ("first", "running"),
        ("second", "planned"),
    ]


@pytest.mark.parametrize("after", ["x", "-1", "1.5", "9" * 19, "\N{ARABIC-INDIC DIGIT ONE}"])
def test_a_cursor_of_somebody_elses_making_is_refused(house: House, after: str) -> None:
    answer = house.office.get(f"/v1/shows?after={after}")
    assert refused(answer, 422, "cursor_unknown")["field"] == "after"


def test_a_show_is_planned_once_and_changed_by_its_address(house: House) -> None:
    other = SHOW | {"name": "Another show"}
    refused(house.office.post("/v1/shows", other), 409, "show_id_taken")
    changed = {name: value for name, value in other.items() if name != "id"}
    done(house.office.put("/v1/shows/three-rivers", changed))
    assert done(house.office.get("/v1/shows/three-rivers"))["name"] == "Another show"
    refused(house.office.put("/v1/shows/nowhere", changed), 404, "unknown_show")


@pytest.mark.parametrize("zone", ["Mars/Base", "../../etc/passwd", "utc offset", "/etc/localtime"])
def test_a_time_zone_is_one_of_the_iana_database(house: House, zone: str) -> None:
    answer = house.office.post("/v1/shows", SHOW | {"id": "s", "time_zone": zone})
    assert refused(answer, 422, "unknown_time_zone")["field"] == "time_zone"


def test_officials_are_registered_people_and_shown_by_name(house: House) -> None:
    path = "/v1/shows/three-rivers/officials"
    refused(
        house.office.post(path, {"official": "p-nobody", "role": "judge"}),
        422,
        "person_not_registered",
    )
    done(house.office.post(path, {"official": "p-ames", "role": "judge"}))
    [official] = done(house.office.get("/v1/shows/three-rivers"))["officials"]
    assert official == {"official": {"id": "p-ames", "name": "Judith Ames"}, "role": "judge"}


@pytest.mark.parametrize(
    ("plan", "code", "field"),
    [
        ({"rulebook": "reining"}, "rule_book_not_adopted", "rulebook"),
        ({"ring": "Moon ring"}, "unknown_ring", "ring"),
        ({"day": "2026-05-11"}, "day_outside_show", "day"),
    ],
)
def test_a_class_fits_its_show(house: House, plan: dict[str, Any], code: str, field: str) -> None:
    body = {"name": "Horsemanship", "rulebook": BOOK, **plan}
    answer = house.office.post("/v1/shows/three-rivers/classes", body)
    assert refused(answer, 422, code)["field"] == field


def test_a_class_is_scheduled_once_under_its_id(house: House) -> None:
    house.schedule("k1")
    body = {"id": "k1", "name": "Something else", "rulebook": BOOK}
    path = "/v1/shows/three-rivers/classes"
    refused(house.office.post(path, body), 409, "class_id_taken")
    refused(house.office.post("/v1/shows/nowhere/classes", body), 404, "unknown_show")


def test_the_shipped_rule_books_can_be_read(house: House) -> None:
    listed = done(house.public.get("/v1/rulebooks"))["items"]
    assert BOOK in [each["id"] for each in listed]
    for each in listed:
        found = done(house.public.get(f"/v1/rulebooks/{each['id']}"))
        assert found["digest"] == each["digest"] == digest(shipped_book(each["id"]))
        assert found["book"] == to_document(shipped_book(each["id"]))
    refused(house.public.get("/v1/rulebooks/western-horsmanship"), 404, "unknown_rule_book")


def test_a_show_brings_its_own_book_and_a_class_is_held_to_it(house: House) -> None:
    outcome = {
        "kind": "disqualified",
        "placing": "unplaced",
        "total": "none",
        "in_class_size": True,
        "wording": "Disqualified",
        "source": "common practice",
    }
    body = "".join(
        f"{name} = {value!r}\n".replace("True", "true").replace("'", '"')
        for name, value in outcome.items()
    )
    done(
        house.office.post(
            "/v1/shows/three-rivers/rulebooks", {"toml": f"{TOML}\n[[outcomes]]\n{body}"}
        )
    )
    house.schedule("league", book="barn-league")
    ref = done(house.office.get("/v1/classes/league"))["rulebook"]
    assert done(house.public.get(f"/v1/rulebooks/{ref['digest']}"))["book"]["scale"]["base"] == 60
    scribe = house.scribe("A")
    mark = {"kind": "mark", "back_number": 214, "maneuver": 1}
    [high, fair] = scribe.act("league", {**mark, "mark": 1.5}, {**mark, "mark": 1})
    assert high["problem"]["code"] == "mark_out_of_range"
    assert fair["status"] == "accepted"


def test_a_changed_book_does_not_change_a_class_that_stands(house: House) -> None:
    house.schedule("before")
    book = to_document(shipped_book(BOOK)) | {"edition": "2027", "title": "Changed"}
    done(house.office.post("/v1/shows/three-rivers/rulebooks", {"book": book}))
    house.schedule("after")
    before = done(house.office.get("/v1/classes/before"))["rulebook"]
    after = done(house.office.get("/v1/classes/after"))["rulebook"]
    assert (before["edition"], after["edition"]) == (shipped_book(BOOK).edition, "2027")


def test_a_book_that_does_not_hold_together_is_refused_with_its_lines(house: House) -> None:
    path = "/v1/shows/three-rivers/rulebooks"
    problem = refused(house.office.post(path, {"toml": TOML}), 422, "rule_book_refused")
    assert [(each["field"], each["line"]) for each in problem["errors"]] == [("toml.outcomes", 1)]
    spoilt = to_document(shipped_book(BOOK))
    spoilt["scale"]["base"] = 70.25
    problem = refused(house.office.post(path, {"book": spoilt}), 422, "rule_book_refused")
    assert [each["field"] for each in problem["errors"]] == ["book.scale.base"]


@pytest.mark.parametrize("body", [{}, {"shipped": BOOK, "toml": "x"}, {"book": {}, "toml": "x"}])
def test_a_book_comes_in_one_form(house: House, body: dict[str, Any]) -> None:
    problem = refused(house.office.post("/v1/shows/three-rivers/rulebooks", body), 422, "invalid")
    assert "exactly one" in problem["detail"]


def test_a_book_that_does_not_ship_is_refused_by_name(house: House) -> None:
    answer = house.office.post("/v1/shows/three-rivers/rulebooks", {"shipped": "westerm"})
    assert refused(answer, 422, "rule_book_not_shipped")["field"] == "shipped"


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ("from=2026-05-10", ["three-rivers", "autumn"]),
        ("from=2026-05-11", ["autumn"]),
        ("to=2026-05-08", ["three-rivers"]),
        ("from=2026-05-09&to=2026-05-09", ["three-rivers"]),
        ("from=2026-06-01&to=2026-06-30", []),
    ],
)
def test_shows_are_found_by_the_days_they_are_held_on(
    house: House, query: str, found: list[str]
) -> None:
    days = {"first_day": "2026-09-05", "last_day": "2026-09-06"}
    done(house.office.post("/v1/shows", SHOW | {"id": "autumn"} | days))
    assert [each["id"] for each in done(house.public.get(f"/v1/shows?{query}"))["items"]] == found


def test_classes_are_found_by_day_ring_and_stage_page_by_page(house: House) -> None:
    path = "/v1/shows/three-rivers/classes"
    plain = {"name": "Open", "rulebook": BOOK}
    for name in ("a", "b", "c"):
        where = {"ring": "Main ring", "day": "2026-05-09"} if name != "b" else {}
        done(house.office.post(path, {"id": name, **plain, **where}))
    house.judge(house.schedule("held"))

    def found(query: str) -> list[str]:
        return [each["id"] for each in done(house.public.get(f"{path}?{query}"))["items"]]

    assert found("ring=Main%20ring") == found("day=2026-05-09") == ["a", "c"]
    assert found("phase=running") == ["held"]
    assert found("phase=planned&day=2026-05-08") == []
    first = done(house.public.get(f"{path}?day=2026-05-09&limit=1"))
    assert [each["id"] for each in first["items"]] == ["a"]
    assert found(f"day=2026-05-09&limit=1&after={first['next']}") == ["c"]
    refused(house.public.get(f"{path}?phase=gone"), 422, "invalid")


def test_a_list_costs_as_many_queries_for_many_classes_as_for_few(house: House) -> None:
    path = "/v1/shows/three-rivers/classes"
    costs = []
    for more in (2, 10):
        for number in range(more):
            name = f"class-{more}-{number}"
            done(house.office.post(path, {"id": name, "name": "Open", "rulebook": BOOK}))
        house.public.get(path)
        asked = queries(house)
        done(house.public.get(path))
        costs.append(len(asked))
    assert costs == [4, 4]  # the key, the show, what streams are new, and every version
