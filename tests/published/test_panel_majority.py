"""Majority against A. Dawson, The Skating System: the published table and the published steps."""

from hypothesis import given
from hypothesis import strategies as st

from events.scoring.panel.cards import SeatCard
from events.scoring.panel.majority import column_of, majority
from tests.core.panel.seats import by_marks, orders, places, row_of
from tests.published.skating_text import one_dance

# Dawson reprint, slydance.org, sistem.php?st=2. The rows of 11 to 41 are printed; of 51 and 61 the
# printed rest is filled by elimination, since every judge uses each place once.
TABLE: dict[str, list[int | None]] = {
    "11": [1, 5, 1, 1, 2],
    "21": [2, 2, 5, 4, 1],
    "31": [3, 3, 3, 2, 3],
    "41": [4, 4, 2, 3, 4],
    "51": [5, 1, 4, 5, 5],
    "61": [6, 6, 6, 6, 6],
}
TABLE_PLACES = {"11": 1, "21": 2, "31": 3, "41": 4, "51": 5, "61": 6}
# The bold figures of the table: in which column each has its majority, and how many marks it holds.
TABLE_MAJORITIES = {"11": (1, 3), "21": (2, 3), "31": (3, 5), "41": (4, 5), "51": (5, 5)}


def _marks(cards: list[SeatCard]) -> dict[str, list[int]]:
    return {
        entry: [place for card in cards if (place := card.lines[entry].place) is not None]
        for entry in cards[0].lines
    }


def _groups(cards: list[SeatCard]) -> list[list[str]]:
    found: dict[int, list[str]] = {}
    for row in majority(cards):
        assert row.place is not None
        found.setdefault(row.place, []).append(row.entry)
    return [sorted(found[place]) for place in sorted(found)]


def test_the_published_table_is_placed_as_printed() -> None:
    assert places(majority(by_marks(TABLE))) == TABLE_PLACES


def test_the_published_majorities_stand_in_their_printed_columns() -> None:
    rows = majority(by_marks(TABLE))
    for entry, (column, size) in TABLE_MAJORITIES.items():
        row = row_of(rows, entry)
        assert row.figure == column
        assert sum(seat.counted for seat in row.seats) == size


def test_a_majority_of_forty_five_marks_is_twenty_three() -> None:
    # dancesportlive.com, How to judge, Skating System, page 4
    assert column_of([1] * 22 + [2] * 23, range(1, 3)) == 2
    assert column_of([1] * 23 + [2] * 22, range(1, 3)) == 1


def test_of_two_majorities_for_second_the_larger_is_second_and_the_other_third() -> None:
    # fdo.fi, Skating system, note to majorities for the same position
    rows = majority(
        by_marks(
            {
                "1": [1, 1, 1, 1, 4, 3, 4],
                "2": [3, 4, 2, 4, 2, 2, 1],
                "3": [2, 2, 3, 3, 1, 1, 2],
                "4": [4, 3, 4, 2, 3, 4, 3],
            }
        )
    )
    assert places(rows) == {"1": 1, "3": 2, "2": 3, "4": 4}
    assert row_of(rows, "3").parted_by == row_of(rows, "2").parted_by == "majority_size"


def test_of_two_equal_majorities_for_second_the_lower_total_is_second() -> None:
    # fdo.fi, Skating system, note a) to equal majorities
    rows = majority(
        by_marks(
            {
                "1": [1, 1, 1, 1, 4, 3, 4],
                "2": [3, 4, 2, 4, 2, 2, 1],
                "3": [2, 3, 3, 3, 1, 1, 2],
                "4": [4, 2, 4, 2, 3, 4, 3],
            }
        )
    )
    assert places(rows) == {"1": 1, "3": 2, "2": 3, "4": 4}
    assert row_of(rows, "3").parted_by == row_of(rows, "2").parted_by == "majority_total"


def test_majority_can_make_a_winner_whom_nobody_placed_first() -> None:
    # as exhibitors complained of a three-judge panel at abovelevel.com, New England, 2011
    rows = majority(by_marks({"1": [1, 3, 4], "2": [2, 2, 2], "3": [3, 4, 1], "4": [4, 1, 3]}))
    assert places(rows)["2"] == 1
    assert row_of(rows, "2").figure == 2


@given(orders(st.sampled_from([1, 2, 3, 4, 5, 6, 7, 9])))
def test_every_panel_is_placed_as_the_published_steps_place_it(cards: list[SeatCard]) -> None:
    assert _groups(cards) == one_dance(_marks(cards))
