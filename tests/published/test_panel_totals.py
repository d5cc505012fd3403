"""Panels by totals against published examples, and their ranks against scipy."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import rankdata

from events.scoring.panel.totals import drop_high_low_sum, total_mean, total_sum
from tests.core.panel.seats import places, row_of, scored

HALF_STEPS = st.integers(0, 200).map(lambda half: half / 2)


def _tables(judges: int) -> st.SearchStrategy[dict[str, list[float | None]]]:
    row = st.lists(HALF_STEPS, min_size=judges, max_size=judges)
    return st.lists(row, min_size=1, max_size=8).map(
        lambda rows: {f"{number:02}": list(row) for number, row in enumerate(rows)}
    )


@pytest.mark.parametrize(("high", "low"), [(71.5, 70), (74, 60.5), (72, 69.5)], ids=str)
def test_five_judges_without_high_and_low_make_the_published_212_and_a_half(
    high: float, low: float
) -> None:
    # C. Crumpler, The Numbers Don't Lie, Equine Chronicle: 71 + 71.5 + 70 = 212.5, not averaged.
    # The two that are dropped are ours.
    rows = drop_high_low_sum(scored({"1": [71, high, 71.5, low, 70]}))
    assert rows[0].figure == Fraction("212.5")
    assert sorted(seat.figure or 0 for seat in rows[0].seats if seat.counted) == [70, 71, 71.5]


def test_the_mean_is_the_sum_divided_by_the_number_of_judges() -> None:
    # Al Khalediah Festival, Scoring System, 1
    rows = total_mean(scored({"1": [17, 18, 18], "2": [18, 18, 18]}))
    assert [(row.entry, row.figure) for row in rows] == [("2", 18), ("1", Fraction(53, 3))]


@given(_tables(3))
def test_sums_rank_as_scipy_ranks_them(table: dict[str, list[float | None]]) -> None:
    sums = [-sum(mark or 0 for mark in row) for row in table.values()]
    expected = dict(zip(table, rankdata(sums, method="min").astype(int).tolist(), strict=True))
    assert places(total_sum(scored(table))) == expected


@given(_tables(5))
def test_the_middle_three_are_those_that_sorting_leaves(
    table: dict[str, list[float | None]],
) -> None:
    rows = drop_high_low_sum(scored(table))
    for entry, row in table.items():
        middle = sorted(mark or 0 for mark in row)[1:-1]
        assert row_of(rows, entry).figure == sum(middle)


@given(_tables(4))
def test_the_mean_places_as_the_sum_does(table: dict[str, list[float | None]]) -> None:
    assert places(total_mean(scored(table))) == places(total_sum(scored(table)))
