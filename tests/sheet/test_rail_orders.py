"""How a sheet's rail orders count: inside the line between complete runs and others."""

from typing import Any

import pytest

from events.rulebook.load import to_document
from service.books import shipped_book
from tests.sheet.sheets import faults, places, result, rows, sheet

BOOK = "western-horsemanship"
OFF = {"kind": "off_pattern"}


def rides(**marks: float) -> dict[str, dict[str, Any]]:
    """Entries e1, e2, ... with one mark each; those marked below -2 went off pattern."""
    found: dict[str, dict[str, Any]] = {}
    for name, mark in marks.items():
        found[name.removeprefix("e")] = {"marks": [mark], "rider_mark": 2}
    return found


def off_pattern(entries: dict[str, dict[str, Any]], *names: str) -> dict[str, dict[str, Any]]:
    return {e: {**ride, "outcome": OFF} if e in names else ride for e, ride in entries.items()}


def test_an_order_that_runs_on_past_the_complete_runs_is_taken_as_it_stands() -> None:
    class_ = off_pattern(rides(e1=0, e2=1, e3=3), "3")
    found = result(sheet(BOOK, class_, rail=[{"order": ["1", "2", "3"]}]))
    assert [row["entry"] for row in found["seats"]["A"]["placings"]] == ["1", "2", "3"]
    assert found["warnings"] == []


def test_an_order_across_the_line_counts_on_each_side_of_it_and_says_so() -> None:
    class_ = off_pattern(rides(e1=0, e2=1, e3=3, e4=2), "3", "4")
    document = sheet(BOOK, class_, rail=[{"order": ["4", "1", "3", "2"]}])
    assert places(document) == {"1": 1, "2": 2, "4": 3, "3": 4}
    (warning,) = result(document)["warnings"]
    assert warning == (
        "Seat A: the order 4, 1, 3, 2 would lift a run over one with a better outcome, which "
        "Western horsemanship does not allow; it counts as 1, 2, 4, 3."
    )


def test_a_book_may_let_the_rail_lift_a_run_over_the_line() -> None:
    book = to_document(shipped_book(BOOK))
    book["rail"]["crosses_outcomes"] = True
    class_ = off_pattern(rides(e1=0, e2=3), "2")
    document = sheet(book, class_, rail=[{"order": ["2", "1"]}])
    assert places(document) == {"2": 1, "1": 2}
    assert result(document)["warnings"] == []


@pytest.mark.parametrize(
    "ride",
    [{"marks": [None], "rider_mark": 2}, {"outcome": {"kind": "disqualified"}}, {}],
    ids=["unmarked", "disqualified", "no ride"],
)
def test_an_order_may_not_name_who_takes_no_place(ride: dict[str, Any]) -> None:
    class_ = {**rides(e1=0, e2=1), "3": ride}
    (line,) = faults(sheet(BOOK, class_, rail=[{"order": ["2", "3", "1"]}]))
    assert line.startswith("$.cards[0].rail[0].order[1]: Back number 103 has no place to be moved")


def test_an_order_names_all_of_those_who_share_a_place() -> None:
    (line,) = faults(sheet(BOOK, rides(e1=1, e2=1, e3=0), rail=[{"order": ["1", "3"]}]))
    assert line.startswith("$.cards[0].rail[0].order: The order names some of the entries that")


def test_a_later_order_has_the_last_word() -> None:
    rail = [{"order": ["1", "2"]}, {"order": ["2", "1"]}]
    assert places(sheet(BOOK, rides(e1=0, e2=0), rail=rail)) == {"2": 1, "1": 2}


def test_an_order_rests_on_the_final_totals_and_is_never_stale() -> None:
    found = rows(sheet(BOOK, rides(e1=0, e2=1), rail=[{"order": ["1", "2"]}]))
    assert [row["stale"] for row in found] == [False, False]


def test_only_the_seat_that_set_an_order_follows_it() -> None:
    document = sheet(BOOK, rides(e1=0, e2=0))
    document["cards"].append({**document["cards"][0], "seat": "B", "rail": [{"order": ["2", "1"]}]})
    assert [row["place"] for row in rows(document, "A")] == [1, 1]
    assert [(row["entry"], row["place"]) for row in rows(document, "B")] == [("2", 1), ("1", 2)]
