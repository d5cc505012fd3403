"""Each step of a rule book that may part equal totals, and what no step parts."""

import pytest

from events.rulebook.model import TieStepName
from events.scoring.placing import place
from tests.core.books import rail, small, tie
from tests.core.scoring.rides import facts, order, placing, scored

MANEUVERS = ("Walk", "Turn", "walk")


def test_what_nothing_parts_shares_the_place() -> None:
    scores = scored(A=0, B=2, C=2, D=4, E=2, F=-2)
    assert placing(small(ties=()), scores) == "1 D, 2= B, 2= C, 2= E, 5 A, 6 F"


def test_the_better_rider_mark_wins() -> None:
    scores = scored(A=facts(2, rider=2), B=facts(0, rider=4), C=facts(4, rider=0))
    book = small(ties=(tie("rider_mark"),))
    assert placing(book, scores) == "1 B, 2 A, 3 C"


def test_no_rider_mark_counts_as_nought() -> None:
    scores = scored(
        A=facts(None, rider=None, outcome="zero"),
        B=facts(None, rider=1, outcome="zero"),
        C=facts(None, rider=0, outcome="zero"),
    )
    assert placing(small(ties=(tie("rider_mark"),)), scores) == "1 B, 2= A, 2= C"


def test_fewer_penalty_points_win() -> None:
    scores = scored(A=facts(6, penalties=(6,)), B=facts(0), C=facts(6, penalties=(2, 4)))
    book = small(ties=(tie("fewest_penalty_points"),))
    assert placing(book, scores) == "1 B, 2= A, 2= C"


def test_the_better_named_maneuver_wins_and_its_occurrences_add_up() -> None:
    scores = scored(A=facts(2, 0, 2), B=facts(3, 1, 0), C=facts(0, 0, 4))
    book = small(ties=(tie("named_maneuver", maneuver="WALK"),))
    assert placing(book, scores, maneuvers=MANEUVERS) == "1= A, 1= C, 3 B"


def test_a_pattern_without_the_named_maneuver_skips_the_step() -> None:
    scores = scored(A=facts(2, 0, 2), B=facts(3, 1, 0))
    book = small(ties=(tie("named_maneuver", maneuver="Lope"),))
    assert placing(book, scores, maneuvers=MANEUVERS) == "1= A, 1= B"


def test_rides_set_to_nought_are_parted_by_the_marks_they_have() -> None:
    scores = scored(
        A=facts(None, rider=None, outcome="zero"), B=facts(-1, rider=None, outcome="zero")
    )
    book = small(ties=(tie("named_maneuver", maneuver="Walk"),))
    assert placing(book, scores) == "1 A, 2 B"


ORDERS: tuple[TieStepName, ...] = ("rail_work", "run_off", "judges_decision")


@pytest.mark.parametrize("by", ORDERS)
def test_an_order_parts_a_tie_at_its_own_step(by: TieStepName) -> None:
    scores = scored(A=2, B=2)
    book = small(rail=rail("ties"), ties=(tie(by),))
    others = [order("B A", scores, other) for other in ORDERS if other != by]
    assert placing(book, scores, *others) == "1= A, 1= B"
    assert placing(book, scores, *others, order("B A", scores, by)) == "1 B, 2 A"


def test_the_call_judge_settles_nothing_on_one_card() -> None:
    scores = scored(A=2, B=2)
    assert placing(small(ties=(tie("call_judge"),)), scores) == "1= A, 1= B"


def test_steps_are_taken_in_the_books_order() -> None:
    scores = scored(A=facts(0, rider=4), B=facts(10, rider=0, penalties=(6,)))
    form, clean = tie("rider_mark"), tie("named_maneuver", maneuver="Walk")
    assert placing(small(ties=(form, clean)), scores) == "1 A, 2 B"
    assert placing(small(ties=(clean, form)), scores) == "1 B, 2 A"


def test_a_later_step_parts_only_what_is_still_tied() -> None:
    scores = scored(A=facts(0, rider=4), B=facts(2, rider=2), C=facts(2, rider=2))
    book = small(rail=rail("ties"), ties=(tie("rider_mark"), tie("judges_decision")))
    assert placing(book, scores, order("C B A", scores, "judges_decision")) == "1 A, 2 C, 3 B"


def test_a_step_for_first_place_leaves_other_ties_alone() -> None:
    scores = scored(A=facts(2, rider=2), B=facts(0, rider=4), C=facts(0, rider=2), D=2)
    book = small(ties=(tie("rider_mark", places=1),))
    assert placing(book, scores) == "1 B, 2 A, 3= C, 3= D"


def test_places_are_counted_over_the_complete_runs_too() -> None:
    scores = scored(
        A=facts(2, rider=2),
        B=facts(2, rider=2, outcome="off_pattern"),
        C=facts(0, rider=4, outcome="off_pattern"),
    )
    assert placing(small(ties=(tie("rider_mark", places=1),)), scores) == "1 A, 2= B, 2= C"
    assert placing(small(ties=(tie("rider_mark", places=2),)), scores) == "1 A, 2 C, 3 B"


def test_a_row_that_no_step_settled_names_none() -> None:
    scores = scored(A=facts(2, rider=2), B=facts(2, rider=2), C=0)
    rows = place(small(ties=(tie("rider_mark"),)), scores, (), ("Walk",))
    assert [(row.entry, row.place, row.parted_by) for row in rows] == [
        ("A", 1, None),
        ("B", 1, None),
        ("C", 3, None),
    ]


def test_a_row_names_the_step_that_settled_its_place() -> None:
    scores = scored(A=facts(0, rider=4), B=facts(2, rider=2), C=facts(2, rider=2), D=-4, E=-6)
    book = small(ties=(tie("rider_mark"), tie("judges_decision")))
    orders = [order("C B", scores, "judges_decision"), order("E D", scores)]
    rows = place(book, scores, orders, ("Walk",))
    assert {row.entry: row.parted_by for row in rows} == {
        "A": "rider_mark",
        "B": "rider_mark",
        "C": "rider_mark",
        "D": "rail_work",
        "E": "rail_work",
    }
