"""Each line of points says in a sentence what it was made of."""

import pytest

from events.projections.points_explained import explained
from tests.core.points.shipped import shipped
from tests.core.season.seasons import Row, document, earned, rules

TIED: list[Row] = [("1", 1), ("2", 2), ("3", 2), ("4", None, "zero"), ("5", None)]


def says(table: str, rows: list[Row]) -> list[str]:
    lines = earned(document({"A": rows}), rules(table))
    return [explained(line, shipped()[table]).says for line in lines]


def test_a_shared_place_says_what_was_shared_and_a_place_alone_what_it_earns() -> None:
    assert says("ihsa-individual", TIED)[:3] == [
        "1st in a class of 5: 7.",
        "2nd in a class of 5, shared by 2: (5 + 4) / 2 = 4.5.",
        "2nd in a class of 5, shared by 2: (5 + 4) / 2 = 4.5.",
    ]


@pytest.mark.parametrize(
    ("table", "zero", "unplaced"),
    [
        ("gchsc-high-point", "1", "1"),
        ("one-per-entry-beaten", "zero earns nothing", "0"),
    ],
)
def test_who_takes_no_place_is_told_why(table: str, zero: str, unplaced: str) -> None:
    assert says(table, TIED)[3:] == [
        f"Shown without a place in a class of 5: {zero}.",
        f"Shown without a place in a class of 5: {unplaced}.",
    ]


def test_an_outcome_may_earn_nothing_in_its_place() -> None:
    rows: list[Row] = [("1", 1), ("2", 2, "zero")]
    assert says("tscc-standings", rows)[1] == "2nd in a class of 2: zero earns nothing."


def test_a_class_that_the_table_does_not_reach_says_so() -> None:
    (line, *_) = earned(document({"A": TIED}), rules("amha-world-awards"))
    reason = explained(line, shipped()["amha-world-awards"])
    assert reason.says == "1st in a class of 5: the table says nothing of classes under 10."
    assert reason.places == ()


@pytest.mark.parametrize("name", sorted(shipped()))
def test_the_places_held_share_exactly_what_was_earned(name: str) -> None:
    rows: list[Row] = [(str(n), place) for n, place in enumerate([1, 1, 3, 3, 3, 6, *range(7, 12)])]
    for line in earned(document({"A": rows}), rules(name)):
        reason = explained(line, shipped()[name])
        assert sum(each.points for each in reason.places) == line.points * line.shared_by
