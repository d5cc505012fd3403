"""The total of one ride: base, marks, rider's mark, penalties, bounds, outcomes."""

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.half_points import HalfPoints
from events.rulebook.model import OutcomeKind
from events.scoring.total import score, total_of
from tests.core.books import NO_RIDER_MARK, SMALL, bounded, shipped
from tests.core.scoring.rides import facts

HORSEMANSHIP = shipped("western-horsemanship")


def test_a_total_is_base_and_marks_and_form_less_penalties() -> None:
    # Common practice in western horsemanship: 70 + 1 + 0.5 - 0.5 + 3 - 5 = 69.
    assert total_of(HORSEMANSHIP.scale, facts(2, 1, -1, rider=6, penalties=(10,))) == 138


def test_every_occurrence_of_a_penalty_counts() -> None:
    assert total_of(SMALL.scale, facts(0, penalties=(6, 6, 10))) == 140 - 22


def test_a_scale_that_runs_to_infinity_has_no_ceiling() -> None:
    # eXtension Horses, Judging Horse Events: Western Horsemanship.
    assert total_of(HORSEMANSHIP.scale, facts(*[6] * 40, rider=10)) == 140 + 240 + 10


@pytest.mark.parametrize(
    ("floor", "ceiling", "marks", "total"),
    [
        (None, None, -6, 134 - 20),
        (0, None, -6, 134 - 20),
        (120, None, -6, 120),
        (None, 110, -6, 110),
        (114, 114, -6, 114),
        (None, 113, -6, 113),
    ],
)
def test_a_total_stays_between_floor_and_ceiling(
    floor: HalfPoints | None, ceiling: HalfPoints | None, marks: HalfPoints, total: HalfPoints
) -> None:
    scale = bounded(floor, ceiling).scale
    assert total_of(scale, facts(marks, penalties=(10, 10))) == total


def test_a_floor_of_nought_catches_the_worst_ride() -> None:
    assert total_of(HORSEMANSHIP.scale, facts(-6, penalties=[20] * 8)) == 0


def test_a_complete_ride_wants_nothing() -> None:
    ride = score(SMALL, facts(1, 2, rider=3))
    assert (ride.total, ride.tier, ride.missing) == (146, 0, ())
    assert ride.complete
    assert ride.placed


def test_missing_marks_leave_a_ride_without_total_or_place() -> None:
    # Design: an entry with missing marks is incomplete, never zero by accident.
    ride = score(SMALL, facts(None, 2, None, rider=None))
    assert ride.missing == (1, 3, "rider_mark")
    assert (ride.total, ride.complete, ride.placed) == (None, False, False)


def test_a_scale_without_a_rider_mark_does_not_wait_for_one() -> None:
    assert score(NO_RIDER_MARK, facts(1, rider=None)).total == 141


def test_a_ride_without_a_pattern_is_not_complete() -> None:
    ride = score(NO_RIDER_MARK, facts(rider=None))
    assert (ride.missing, ride.total, ride.placed) == (("pattern",), None, False)


@pytest.mark.parametrize(
    ("kind", "total", "tier", "placed"),
    [
        ("off_pattern", 144, 1, True),
        ("severe_fault", 144, 2, True),
        ("zero", 0, 3, True),
        ("disqualified", None, None, False),
        ("excused", None, None, False),
        ("missed_gate", None, None, False),
        ("no_score", None, None, False),
    ],
)
def test_the_book_says_what_an_outcome_leaves(
    kind: OutcomeKind, total: HalfPoints | None, tier: int | None, placed: bool
) -> None:
    # SMALL does not know no_score: a log can be read all the same.
    ride = score(SMALL, facts(4, outcome=kind))
    assert (ride.total, ride.tier, ride.placed) == (total, tier, placed)
    assert ride.outcome == kind


@pytest.mark.parametrize("kind", ["zero", "disqualified", "no_score"])
def test_an_outcome_that_takes_the_total_wants_no_marks(kind: OutcomeKind) -> None:
    assert score(SMALL, facts(None, rider=None, outcome=kind)).missing == ()


def test_an_outcome_that_keeps_the_total_wants_its_marks() -> None:
    ride = score(SMALL, facts(None, outcome="off_pattern"))
    assert (ride.missing, ride.total, ride.placed) == ((1,), None, False)


MARKS = st.integers(-6, 6)


@given(
    st.lists(MARKS, min_size=1, max_size=12),
    st.integers(0, 10),
    st.lists(st.integers(0, 20), max_size=5),
    st.integers(0, 130),
    st.integers(150, 200),
)
def test_a_total_is_the_exact_sum_kept_inside_its_bounds(
    marks: list[int], rider: int, penalties: list[int], floor: int, ceiling: int
) -> None:
    scale = msgspec.structs.replace(SMALL.scale, floor=floor, ceiling=ceiling)
    exact = 140 + sum(marks) + rider - sum(penalties)
    total = total_of(scale, facts(*marks, rider=rider, penalties=penalties))
    assert total == sorted((floor, exact, ceiling))[1]
