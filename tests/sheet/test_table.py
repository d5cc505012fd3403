"""The table that a scored sheet prints."""

import copy
from collections.abc import Mapping
from typing import Any

import pytest

from events.rulebook.load import to_document
from service.books import shipped, shipped_book
from service.sheet.table import as_table
from tests.sheet.sheets import scored, sheet
from tests.sheet.test_json_form import AGREED

WIDE = 100


def table(document: object, width: int = WIDE) -> list[str]:
    return as_table(scored(document), width).splitlines()


def body(document: object, width: int = WIDE) -> str:
    """The table without the rule book's notice."""
    return as_table(scored(document), width).rpartition("\n\n")[0]


def seat_a(document: object) -> list[str]:
    """The headings and rows of the first seat."""
    blocks = body(document).split("\n\n")
    return next(block for block in blocks if block.startswith("Seat A")).splitlines()[1:]


def test_the_agreed_sheet_as_a_whole() -> None:
    assert body(AGREED) == (
        "Western horsemanship (rule book western-horsemanship, edition 2026-1)\n"
        "Class size 2\n"
        "Maneuvers: 1. Walk; 2. Jog circle left; 3. Stop and back\n"
        "F&E: form and effectiveness\n"
        "In brackets, and under Pen.: penalty points\n"
        "\n"
        "Seat A\n"
        "Place  Entry  Back   1     2         3      F&E  Pen.  Total  Outcome\n"
        "1          1   214  +1  +0.5 (3)  -0.5 (5)    3     8     66\n"
        "2          2    87   0     0         0        2     0     72  off pattern\n"
        "\n"
        "Off pattern: entry 2 (back number 87), at maneuver 3 (Stop and back): passed the wrong "
        "side of the\n"
        "  cone. It is placed below every complete run.\n"
        "Rail work: 1, 2 in this order: softer transitions."
    )


def test_where_the_page_is_narrow_marks_go_under_each_row_in_columns_of_their_own() -> None:
    assert body(AGREED, 60).split("\n\n")[1] == (
        "Seat A\n"
        "Place  Entry  Back  F&E  Pen.  Total  Outcome\n"
        "        1     2         3\n"
        "1          1   214    3     8     66\n"
        "       +1  +0.5 (3)  -0.5 (5)\n"
        "2          2    87    2     0     72  off pattern\n"
        "        0     0         0"
    )


@pytest.mark.parametrize("width", [40, 60, 80, 132])
@pytest.mark.parametrize("book", shipped())
def test_no_line_is_wider_than_the_page(book: str, width: int) -> None:
    rides: dict[str, dict[str, Any]] = {"1": {"marks": [0] * 12}, "20": {}}
    twelve = sheet(
        book,
        rides,
        maneuvers=[f"A maneuver with a long name, number {n}" for n in range(1, 13)],
    )
    assert max(map(len, table(twelve, width))) <= width


def test_shared_places_carry_an_equals_sign_and_what_may_part_them() -> None:
    document = sheet("trail", {"1": {"marks": [0]}, "2": {"marks": [1]}, "3": {"marks": [0]}})
    assert [line.split()[:2] for line in seat_a(document)[1:]] == [
        ["1", "2"],
        ["2=", "1"],
        ["2=", "3"],
    ]
    assert "Place 2 is shared by 1, 3; the judge's decision may part them." in table(document)


def test_a_tie_that_nothing_in_the_book_may_part_is_only_said_to_be_shared() -> None:
    book = to_document(shipped_book("trail"))
    book["ties"] = []
    lines = table(sheet(book, {"1": {"marks": [0]}, "2": {"marks": [0]}}))
    assert "Place 1 is shared by 1, 2." in lines


@pytest.mark.parametrize(
    ("step", "said"),
    [
        ({"step": "rider_mark"}, "form and effectiveness"),
        ({"step": "fewest_penalty_points"}, "fewest penalty points"),
        ({"step": "named_maneuver", "maneuver": "Stop"}, "the mark for Stop"),
    ],
    ids=lambda case: case if isinstance(case, str) else None,
)
def test_a_step_of_the_book_that_parted_a_tie_is_named(step: Mapping[str, Any], said: str) -> None:
    book = to_document(shipped_book("western-horsemanship"))
    book["ties"] = [{**step, "source": "common practice"}]
    penalty = [{"maneuver": 1, "points": 3}]
    document = sheet(
        book,
        {
            "1": {"marks": [2, 2], "rider_mark": 3, "penalties": penalty},
            "2": {"marks": [0, 0], "rider_mark": 4},
            "3": {"marks": [3, 0], "rider_mark": 1},
        },
        maneuvers=["Walk", "Stop"],
    )
    lines = [line for line in table(document) if line.startswith("Equal at 74: ")]
    assert len(lines) == 1
    assert lines[0].endswith(f" parted by {said}.")
    assert {word.strip(",") for word in lines[0].split()} >= {"1", "2", "3"}


@pytest.mark.parametrize(
    ("by", "said"),
    [
        ("judges_decision", "Judge's decision: 2, 1 in this order."),
        ("rail_work", "Rail work: 2, 1"),
    ],
)
def test_what_settled_an_order_is_said(by: str, said: str) -> None:
    ride = {"marks": [0], "rider_mark": 2}
    rail = [{"order": ["2", "1"], "by": by}]
    text = body(sheet("western-horsemanship", {"1": ride, "2": ride}, rail=rail))
    assert said in text


def test_a_run_off_is_said() -> None:
    rail = [{"order": ["2", "1"], "by": "run_off", "reason": "both agreed."}]
    text = body(sheet("reining", {"1": {"marks": [0]}, "2": {"marks": [0]}}, rail=rail))
    assert "Run-off: 2, 1 in this order: both agreed.\n" in f"{text}\n"


def test_faults_that_were_noted_are_listed_by_ride() -> None:
    noted = [{"code": "eyes-down", "maneuver": 2, "note": "twice"}, {"code": "toe-down"}]
    ride = {"marks": [0, 0], "rider_mark": 2, "observations": noted}
    document = sheet("western-horsemanship", {"1": ride}, maneuvers=["Walk", "Jog"])
    assert body(document, 200).splitlines()[-1] == (
        "Noted: entry 1 (back number 101): Looking down for the lead at maneuver 2 (Jog): twice; "
        "Toe lower than the heel."
    )


def test_outcomes_say_where_they_stand() -> None:
    rides: dict[str, dict[str, Any]] = {
        "1": {"marks": [0], "outcome": {"kind": "disqualified", "reason": "two\nlines"}},
        "2": {"marks": [0], "outcome": {"kind": "severe_fault", "maneuver": 1}},
        "3": {"outcome": {"kind": "severe_fault"}},
    }
    text = body(sheet("equitation-hundred", rides, maneuvers=["Canter"]), 200)
    assert "Disqualified: entry 1 (back number 101): two lines. It takes no place." in text
    assert (
        "Severe fault: entry 2 (back number 102), at maneuver 1 (Canter). It is placed below "
        "every complete run." in text
    )
    assert "Severe fault: entry 3 (back number 103). It has no total yet." in text


def test_a_second_line_below_the_complete_runs_is_told_apart() -> None:
    book = to_document(shipped_book("western-horsemanship"))
    book["outcomes"][0]["tier"] = 2
    ride = {"marks": [0], "rider_mark": 0, "outcome": {"kind": "off_pattern"}}
    assert "It is placed below those with a better outcome." in body(sheet(book, {"1": ride}))


def test_penalties_of_no_maneuver_stand_apart_and_several_are_added_up_beside_the_mark() -> None:
    penalties = [{"maneuver": 1, "points": 0.5, "count": 2}, {"maneuver": 1, "points": 3}]
    ride = {"marks": [1, 0], "penalties": [*penalties, {"points": 5}]}
    heading, row = seat_a(sheet("trail", {"1": ride}))
    assert heading.split() == ["Place", "Entry", "Back", "1", "2", "Other", "Pen.", "Total"]
    assert row.split() == ["1", "1", "101", "+1", "(0.5+0.5+3)", "0", "(5)", "9", "62"]


def test_marks_that_cannot_be_negative_have_no_sign() -> None:
    row = seat_a(sheet("showmanship-twenty", {"1": {"marks": [8, 7.5]}}))[1]
    assert row.split() == ["1", "1", "101", "8", "7.5", "0", "15.5"]


def test_what_is_not_marked_yet_is_a_hyphen_and_a_warning() -> None:
    document = sheet("trail", {"1": {"marks": [0, None]}})
    assert seat_a(document)[1].split() == ["-", "1", "101", "0", "-", "0", "-"]
    warned = "Warning: Seat A: entry 1 (back number 101) still wants a mark for"
    assert any(line.startswith(warned) for line in table(document))


def test_the_books_caution_stands_below_every_table() -> None:
    words = " ".join(as_table(scored(AGREED), 72).rpartition("\n\n")[2].split())
    assert words == shipped_book("western-horsemanship").notice
    assert "veterinarian" in words
    assert "handbook" in words


def test_a_class_in_which_all_were_scratched_still_has_its_heading() -> None:
    document = copy.deepcopy(AGREED)
    for entry in document["entries"]:
        entry["scratched"] = True
    document["cards"][0].update(rides=[], rail=[])
    assert table(document)[1] == "Class size 0"
    assert seat_a(document) == ["Place  Entry  Back  F&E  Pen.  Total"]


def test_each_seat_has_a_table_of_its_own() -> None:
    document = copy.deepcopy(AGREED)
    document["cards"].append({"seat": "B", "rides": document["cards"][0]["rides"]})
    lines = table(document)
    assert lines.index("Seat A") < lines.index("Seat B")
    assert sum(line.startswith("Place  Entry") for line in lines) == 2


def test_the_page_is_as_wide_as_the_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "47")
    assert as_table(scored(AGREED)) == as_table(scored(AGREED), 47)
