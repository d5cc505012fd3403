"""A class ridden in sections, as the show office, a scribe and the public see it."""

import csv
import io
import json
from typing import Any

import pytest

from events.rulebook.load import to_document
from service.books import shipped_book
from service.pages.render import COOKIE
from tests.http.agreeing import agree
from tests.http.house import MANEUVERS, Hand, House, done, refused
from tests.print.reading import text_of

SHOW = "/v1/shows/three-rivers"
PATH = "/v1/classes/large"
RIDERS = ("lind", "falk", "nord", "ames", "baines")


def entered(house: House, count: int, **plan: Any) -> None:  # noqa: ANN401 - members of a class
    """A class of so many, back numbers 11 on, with one judge; nobody is drawn yet."""
    body = {"id": "large", "name": "Large", "rulebook": "western-horsemanship", "number": 12}
    done(house.office.post(f"{SHOW}/classes", {**body, **plan}))
    done(house.office.post(f"{PATH}/pattern", {"maneuvers": MANEUVERS}))
    done(house.office.post(f"{PATH}/seats", {"seat": "A", "judge": "p-ames"}))
    for number in range(count):
        enter(house, 11 + number)


def enter(house: House, number: int, **more: Any) -> None:  # noqa: ANN401 - members of an entry
    rider = f"p-{RIDERS[number % len(RIDERS)]}"
    entry = {"entry": f"e{number}", "back_number": number, "exhibitor": rider}
    done(house.office.post(f"{PATH}/entries", {**entry, **more}))


def draw(house: House, *numbers: int, **more: Any) -> dict[str, Any]:  # noqa: ANN401 - as above
    body = {"order": [{"back_number": number} for number in numbers], **more}
    return done(house.office.post(f"{PATH}/draw", body))


def sections(house: House) -> list[list[int]]:
    found = done(house.office.get(f"{PATH}/draw"))["sections"]
    return [[each["back_number"] for each in part] for part in found]


def ride(scribe: Hand, class_id: str, first: dict[int, float]) -> None:
    """Complete rides: this mark for the first maneuver, nought for the others, form 2."""
    for number, mark in first.items():
        answers = scribe.act(
            class_id,
            *(
                {"kind": "mark", "back_number": number, "maneuver": at, "mark": given}
                for at, given in enumerate((mark, 0, 0), 1)
            ),
            {"kind": "rider_mark", "back_number": number, "mark": 2},
        )
        assert {each["status"] for each in answers} == {"accepted"}, answers


def sign(scribe: Hand, class_id: str) -> None:
    [signed] = scribe.act(class_id, {"kind": "sign"})
    assert signed["status"] == "accepted", signed


def reasons(house: House) -> list[str]:
    found = done(house.steward.get(f"{PATH}/log?limit=500"))["items"]
    return [each["data"]["reason"] for each in found if each["type"] == "class.draw_repaired"]


@pytest.fixture
def split(house: House) -> House:
    """Five entries in sections of three and two: 11 and 14 win."""
    entered(house, 5)
    draw(house, 11, 12, 13, 14, 15, sections=[3, 2])
    ride(house.scribe("A"), "large", {11: 2, 12: 1, 13: 1, 14: 3, 15: -1})
    return house


# --- the draw -----------------------------------------------------------------------------------


def test_a_class_over_the_books_limit_is_drawn_in_sections(house: House) -> None:
    # American Mule Association, rule 101: classes over 25 are split.
    book = to_document(shipped_book("western-horsemanship"))
    book |= {"id": "split-horsemanship", "draw": {"source": "AMA 101", "split_above": 25}}
    done(house.office.post(f"{SHOW}/rulebooks", {"book": book}))
    entered(house, 26, rulebook="split-horsemanship")
    done(house.office.post(f"{PATH}/draw", {"by_lot": {"seed": "dice"}}))
    found = agree(house.office.get(f"{PATH}/draw"), "/v1/classes/{class_id}/draw")
    assert [len(part) for part in found["sections"]] == [13, 13]
    assert (found["rule"]["split_above"], found["rule"]["source"]) == (25, "AMA 101")
    numbers = [each["working_order"] for part in found["sections"] for each in part]
    assert numbers == list(range(1, 27))
    assert done(house.office.get(PATH))["sections"] == [13, 13]


def test_the_office_says_how_many_ride_together(house: House) -> None:
    # AMHA 2016 Rule Book, page 169: a class of 45 is split, as equally as can be.
    entered(house, 7)
    done(house.office.post(f"{PATH}/draw", {"by_lot": {"seed": "dice", "split_above": 3}}))
    assert [len(part) for part in sections(house)] == [3, 2, 2]
    whole = [number for part in sections(house) for number in part]
    done(house.office.post(f"{PATH}/draw", {"by_lot": {"seed": "dice"}}))
    assert sections(house) == [whole]


def test_a_draw_that_stands_is_split_and_made_one_class_again(house: House) -> None:
    entered(house, 5)
    draw(house, 11, 12, 13, 14, 15)
    preview = done(house.office.get(f"{PATH}/draw?at_most=2"))["sections"]
    assert [len(part) for part in preview] == [2, 2, 1]
    body = {"split": {"into": 2}, "reason": "The ring holds three."}
    done(house.office.post(f"{PATH}/draw", body))
    assert sections(house) == [[11, 12, 13], [14, 15]]
    done(house.office.post(f"{PATH}/draw", {"split": {"at_most": 2}}))
    assert sections(house) == [[11, 12], [13, 14], [15]]
    done(house.office.post(f"{PATH}/draw", {"split": {"into": 1}}))
    assert sections(house) == [[11, 12, 13, 14, 15]]
    assert reasons(house) == [
        "The ring holds three. (Split into sections of 3, 2.)",
        "Split into sections of 2, 2, 1.",
        "Ridden as one class.",
    ]
    assert done(house.office.post(f"{PATH}/draw", {"split": {"into": 1}}))["events"] == 0


def test_what_cannot_be_split_is_refused_by_its_place(house: House) -> None:
    entered(house, 2)
    answer = house.office.post(f"{PATH}/draw", {"split": {"into": 2}})
    refused(answer, 409, "no_draw_yet")
    draw(house, 11, 12)
    answer = house.office.post(f"{PATH}/draw", {"split": {"into": 3}})
    assert refused(answer, 422, "sections_do_not_add_up")["field"] == "split.into"
    order = [{"back_number": 11}, {"back_number": 12}]
    answer = house.office.post(f"{PATH}/draw", {"order": order, "sections": [1, 2]})
    assert refused(answer, 422, "sections_do_not_add_up")["field"] == "sections"
    for neither_or_both in ({}, {"into": 2, "at_most": 1}):
        answer = house.office.post(f"{PATH}/draw", {"split": neither_or_both})
        refused(answer, 422, "invalid")
    answer = house.office.post(f"{PATH}/draw", {"split": {"into": 2}, "sections": [1, 1]})
    assert refused(answer, 422, "invalid")["errors"][0]["field"] == "sections"


def test_late_entries_go_to_the_smallest_section(house: House) -> None:
    entered(house, 5)
    draw(house, 11, 12, 13, 14, 15, sections=[3, 2])
    for number in (21, 22, 23):
        enter(house, number)
    done(house.office.post(f"{PATH}/draw", {"late": {"place": "first_reversed"}}))
    assert sections(house) == [[22, 11, 12, 13], [23, 21, 14, 15]]
    [why] = reasons(house)
    assert why == (
        "Late entries go first, the last received first of all, each in the section that was "
        "smallest then: back number 21 in section 2, 22 in section 1, 23 in section 2."
    )


def test_late_entries_that_are_known_before_the_draw_leave_the_sections_equal(
    house: House,
) -> None:
    entered(house, 4)
    for number in (21, 22, 23):
        enter(house, number, late=True)
    plan = {"seed": "dice", "split_above": 4, "late_entries": "last"}
    done(house.office.post(f"{PATH}/draw", {"by_lot": plan}))
    found = sections(house)
    assert [len(part) for part in found] == [4, 3]
    assert [[n for n in part if n > 20] for part in found] == [[21, 23], [22]]
    assert found[0][-2:] == [21, 23]


def test_a_section_that_was_ridden_takes_no_late_entry(house: House) -> None:
    entered(house, 3)
    draw(house, 11, 12, 13, sections=[1, 2])
    ride(house.scribe("A"), "large", {11: 0})
    enter(house, 21)
    done(house.office.post(f"{PATH}/draw", {"late": {"place": "last"}}))
    assert sections(house) == [[11], [12, 13, 21]]
    ride(house.scribe("A"), "large", {12: 0, 13: 0})
    enter(house, 22)
    first = {"late": {"place": "first_reversed"}}
    refused(house.office.post(f"{PATH}/draw", first), 409, "class_has_begun")
    done(house.office.post(f"{PATH}/draw", {"late": {"place": "last"}}))
    assert sections(house) == [[11], [12, 13, 21, 22]]


def test_a_repair_across_sections_is_recorded_with_its_reason(house: House) -> None:
    # AHA, AEPA Class: Establishing 'Order of Go': two others between two rides of a rider.
    entered(house, 0)
    for number, rider in enumerate(("lind", "falk", "nord", "ames", "baines", "lind"), start=1):
        entry = {"entry": f"e{number}", "back_number": number, "exhibitor": f"p-{rider}"}
        done(house.office.post(f"{PATH}/entries", entry))
    plan = {"split_above": 3, "spacing": {"rider_apart": [2, 3], "most_rides": 3}}
    for seed in map(str, range(60)):
        done(house.office.post(f"{PATH}/draw", {"by_lot": {"seed": seed, **plan}}))
        assert [len(part) for part in sections(house)] == [3, 3]
        order = [number for part in sections(house) for number in part]
        assert abs(order.index(1) - order.index(6)) >= 3
        if "In another section now: back number" in reasons(house)[-1]:
            break
    else:
        raise AssertionError("no repair ever crossed from one section to the other")


# --- the results --------------------------------------------------------------------------------


def test_each_section_has_a_placing_of_its_own(split: House) -> None:
    found = agree(split.office.get(f"{PATH}/placing"), "/v1/classes/{class_id}/placing")
    first, second = found["sections"]
    assert (first["section"], first["class_size"]) == (1, 3)
    assert (second["section"], second["class_size"]) == (2, 2)
    assert [(r["back_number"], r["place"], r["tied"]) for r in first["seats"][0]["rows"]] == [
        (11, 1, False),
        (12, 2, True),
        (13, 2, True),
    ]
    assert [(r["back_number"], r["section"], r["place"]) for r in found["seats"][0]["rows"]] == [
        (11, 1, 1),
        (12, 1, 2),
        (13, 1, 2),
        (14, 2, 1),
        (15, 2, 2),
    ]
    assert found["divisions"] == []


def test_a_scribe_sees_the_own_seat_of_each_section_alone(house: House) -> None:
    entered(house, 2, panel={"method": "sum"})
    done(house.office.post(f"{PATH}/seats", {"seat": "B", "judge": "p-baines"}))
    draw(house, 11, 12, sections=[1, 1])
    found = done(house.scribe("B").get(f"{PATH}/placing"))["sections"]
    assert [[seat["seat"] for seat in part["seats"]] for part in found] == [["B"], ["B"]]
    assert [part["panel"]["open"] for part in found] == ["Not open to this key before posting."] * 2


def test_a_rail_order_names_entries_of_one_section(split: House) -> None:
    rail = {"kind": "order", "by": "rail_work", "order_id": "r1"}
    [crossing] = split.scribe("A").act(
        "large", {**rail, "order": [{"back_number": 12}, {"back_number": 15}]}
    )
    assert (crossing["status"], crossing["problem"]["code"]) == (
        "refused",
        "order_crosses_sections",
    )
    [within] = split.scribe("A").act(
        "large", {**rail, "order": [{"back_number": 13}, {"back_number": 12}]}
    )
    assert within["status"] == "accepted"


def test_an_explanation_says_in_which_section_the_place_is(split: House) -> None:
    path = f"{PATH}/explain?seat=A&entry=e15"
    found = agree(split.office.get(path), "/v1/classes/{class_id}/explain")
    assert (found["section"], found["place"]) == (2, 2)
    text = split.office.get(path, {"Accept": "text/plain"}).text
    assert "place 2 in section 2." in text


def test_points_tried_on_a_ruling_go_by_the_sections_size(split: House) -> None:
    lost = {"kind": "mark", "maneuver": 1, "mark": -3}
    body = {
        "add": [{"seat": "A", "back_number": 14, "fact": lost}],
        "points": "one-per-entry-beaten",
    }
    found = done(split.steward.post(f"{PATH}/what-if", body))
    moved = {each["back_number"]: (each["before"], each["after"]) for each in found["points"]}
    assert moved == {14: ("2", "0"), 15: ("0", "2")}  # the winner of two, with one on top


def test_a_comparison_tells_that_a_class_was_split(house: House) -> None:
    entered(house, 2)
    draw(house, 11, 12)
    before = done(house.office.get(PATH))["version"]
    done(house.office.post(f"{PATH}/draw", {"split": {"into": 2}}))
    found = done(house.steward.get(f"{PATH}/compare?from={before}"))["changes"]
    assert [(each["kind"], each["before"], each["after"]) for each in found] == [
        ("sections", None, [1, 1])
    ]


def test_each_section_has_its_purse(split: House) -> None:
    purse = {"cents": 10_000, "percentages": ["60", "40"]}
    answer = refused(split.office.post(f"{PATH}/payout", purse), 422, "unknown_section")
    assert answer["field"] == "section"
    found = done(split.office.post(f"{PATH}/payout", {**purse, "section": 2}))
    assert [(each["back_number"], each["cents"]) for each in found["prizes"]] == [
        (14, 6_000),
        (15, 4_000),
    ]
    refused(split.office.post(f"{PATH}/payout", {**purse, "section": 3}), 422, "unknown_section")


def test_a_class_ridden_as_one_has_no_section_to_pay(house: House) -> None:
    house.schedule()
    body = {"cents": 100, "percentages": ["100"], "section": 1}
    path = "/v1/classes/horsemanship/payout"
    refused(house.office.post(path, body), 422, "unknown_section")


def test_sections_are_published_as_results_of_their_own(split: House) -> None:
    sign(split.scribe("A"), "large")
    split.make_official("large")
    split.work()
    path = f"{PATH}/publications/1"
    found = agree(split.public.get(path), "/v1/classes/{class_id}/publications/{revision}")
    assert [(part["section"], part["class_size"]) for part in found["sections"]] == [(1, 3), (2, 2)]
    winners = [part["seats"][0]["rows"][0]["back_number"] for part in found["sections"]]
    assert winners == [11, 14]
    signed = json.loads(found["signed"]["document"])
    assert [part["section"] for part in signed["sections"]] == [1, 2]
    rows = list(csv.DictReader(io.StringIO(split.public.get(f"{path}.csv").text)))
    assert [(row["back_number"], row["section"], row["place"]) for row in rows] == [
        ("11", "1", "1"),
        ("12", "1", "2"),
        ("13", "1", "2"),
        ("14", "2", "1"),
        ("15", "2", "2"),
    ]
    page = split.public.get(path, {"Accept": "text/html"}).text
    assert "Ridden in 2 sections, each placed as a class of its own." in page
    assert page.index("Section 1, of 3") < page.index("Section 2, of 2")


def test_a_class_published_as_one_says_nothing_of_sections_in_what_is_signed(
    house: House,
) -> None:
    house.judge(house.schedule())
    house.make_official("horsemanship")
    house.work()
    path = "/v1/classes/horsemanship/publications/1"
    found = done(house.public.get(path))
    assert (found["sections"], "section" in found["signed"]["document"]) == ([], False)


def test_a_class_is_looked_at_section_by_section(split: House) -> None:
    done(split.office.post(f"{PATH}/seats", {"seat": "L", "judge": "p-baines", "kind": "learner"}))
    enter(split, 31)
    browser = split.app.test_client()
    browser.set_cookie(COOKIE, split.keys["office"])
    page = browser.get("/classes/large").text
    assert page.index("Section 1, of 3") < page.index("Section 2, of 2")
    assert "Back number 31 is not in the draw yet, so it is in no section." in page
    assert "card L" in page


def test_standings_count_each_section_as_a_class_of_its_size(split: House) -> None:
    sign(split.scribe("A"), "large")
    split.make_official("large")
    split.open_season()
    split.reckon()
    path = "/v1/seasons/hill-country-2026/standings?award=high-point&lines=true"
    rows = done(split.federation.get(path))["rows"]
    says = {line["back_number"]: line["says"] for row in rows for line in row["lines"]}
    assert says[11] == "1st in a class of 3: 7."
    assert says[14] == "1st in a class of 2: 7."


def test_each_section_stands_by_itself_on_paper(split: House) -> None:
    text = text_of(split.office.get(f"{PATH}/results.pdf").data)
    first, second = text.index("Section 1, class size 3"), text.index("Section 2, class size 2")
    assert first < second
    assert text.index("1 14 ", second) < text.index("2 15 ", second)
    gate = text_of(split.office.get(f"{PATH}/gate-sheet.pdf").data)
    assert "Section 1" in gate
    assert "Section 2" in gate


def test_the_gates_paper_has_a_column_for_each_call_of_the_rule_book(house: House) -> None:
    book = to_document(shipped_book("western-horsemanship"))
    book |= {"id": "two-calls", "draw": {"source": "ours", "gate_calls": 2}}
    done(house.office.post(f"{SHOW}/rulebooks", {"book": book}))
    entered(house, 2, rulebook="two-calls")
    draw(house, 11, 12)
    gate = text_of(house.office.get(f"{PATH}/gate-sheet.pdf").data)
    assert "2nd call" in gate
    assert "3rd call" not in gate
