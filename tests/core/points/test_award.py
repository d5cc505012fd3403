"""What an award says, and when there is none."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.scoring.held_places import PlacesUnsound
from events.scoring.points.award import (
    Award,
    Entrant,
    PlacePoints,
    SizeUnfit,
    award,
    champion_points,
    size_of_class,
)
from events.scoring.points.load import digest, load_inline
from tests.core.points.shipped import awards, entrants, shipped

STANDINGS = st.lists(st.integers(1, 6), min_size=10, max_size=24).map(
    lambda better: [1 + sum(other < own for other in better) for own in better]
)
EVERY_TABLE = sorted(shipped())


def test_an_award_names_the_table_its_digest_and_the_class_size() -> None:
    given = awards("aqha-per-judge", entrants([1, 2, 3]))
    table = shipped()["aqha-per-judge"]
    assert (given.table, given.edition, given.class_size) == ("aqha-per-judge", "2016", 3)
    assert given.digest == digest(table)


def test_a_shared_place_says_what_it_was_made_of() -> None:
    given = awards("aqha-per-judge", entrants([1, 1, 3, 4, 5]))
    holds = (
        PlacePoints(place=1, points=Fraction(1)),
        PlacePoints(place=2, points=Fraction(1, 2)),
    )
    assert given.awards[:2] == (
        Award(entry="001", place=1, points=Fraction(3, 4), places=holds, shared_by=2),
        Award(entry="002", place=1, points=Fraction(3, 4), places=holds, shared_by=2),
    )


def test_three_that_share_have_exact_thirds() -> None:
    given = awards("ihsa-individual", entrants([1, 1, 1]))
    assert {row.points for row in given.awards} == {Fraction(16, 3)}


def test_a_barred_entry_leaves_its_share_unpaid() -> None:
    shown = [
        Entrant(entry="1", place=1),
        Entrant(entry="2", place=1, outcome="zero"),
        Entrant(entry="3", place=3),
    ]
    given = awards("one-per-entry-beaten", shown)
    assert [row.points for row in given.awards] == [2, 0, 0]
    assert [row.barred_by for row in given.awards] == [None, "zero", None]


def test_entries_without_a_place_come_last_by_their_ids() -> None:
    shown = [
        Entrant(entry="9", place=None, outcome="disqualified"),
        Entrant(entry="2", place=None, scratched=True),
        Entrant(entry="5", place=1),
    ]
    given = awards("gchsc-high-point", shown)
    assert [(row.entry, row.place, row.barred_by) for row in given.awards] == [
        ("5", 1, None),
        ("2", None, None),
        ("9", None, "disqualified"),
    ]
    assert {row.shared_by for row in given.awards} == {1}


def test_a_class_smaller_than_the_table_reaches_is_refused_with_its_size() -> None:
    with pytest.raises(SizeUnfit, match="says nothing of classes under 10; this class has 3") as no:
        awards("amha-world-awards", entrants([1, 2, 3]))
    assert no.value.class_size == 3


def test_a_class_that_nobody_was_shown_in_awards_nothing() -> None:
    given = awards("amha-world-awards", [Entrant(entry="1", place=None, scratched=True)])
    assert [row.points for row in given.awards] == [0]


def test_more_places_than_entries_are_refused() -> None:
    with pytest.raises(SizeUnfit, match="3 entries are placed, so a class of 2 cannot be right"):
        award(shipped()["aqha-per-judge"], 2, entrants([1, 2, 3]))


def test_places_that_overlap_are_refused() -> None:
    with pytest.raises(PlacesUnsound):
        award(shipped()["aqha-per-judge"], 3, entrants([1, 1, 2]))


def test_a_larger_class_than_its_placing_is_counted_as_it_is_given() -> None:
    given = award(shipped()["one-per-entry-beaten"], 9, entrants([1, 2]))
    assert [row.points for row in given.awards] == [9, 7]


def test_a_table_without_champions_has_no_points_for_them() -> None:
    assert champion_points(shipped()["aqha-per-judge"], Fraction(9)) is None


def test_points_given_with_a_class_award_like_a_shipped_table() -> None:
    table = load_inline({"sizes": [{"entries_from": 1, "points": [5, 2.5]}]})
    given = award(table, 2, entrants([1, 2]))
    assert (given.table, [row.points for row in given.awards]) == ("inline", [5, Fraction(5, 2)])


@given(name=st.sampled_from(EVERY_TABLE), places=STANDINGS, data=st.data())
def test_the_order_in_which_entries_were_entered_earns_nothing(
    name: str, places: list[int], data: st.DataObject
) -> None:
    shown = entrants(places)
    shuffled = data.draw(st.permutations(shown))
    assert awards(name, shuffled) == awards(name, shown)


@given(name=st.sampled_from(EVERY_TABLE), places=STANDINGS)
def test_ties_neither_make_nor_lose_points(name: str, places: list[int]) -> None:
    tied = awards(name, entrants(places))
    straight = awards(name, entrants(range(1, len(places) + 1)))
    assert sum(row.points for row in tied.awards) == sum(row.points for row in straight.awards)


@given(name=st.sampled_from(EVERY_TABLE), places=STANDINGS)
def test_a_better_place_never_earns_less(name: str, places: list[int]) -> None:
    earned = [row.points for row in awards(name, entrants(places)).awards]
    assert earned == sorted(earned, reverse=True)


@given(st.lists(st.booleans(), max_size=12))
def test_scratched_entries_never_count_in_the_class_size(scratched: list[bool]) -> None:
    shown = [
        Entrant(entry=str(number), place=None, scratched=gone)
        for number, gone in enumerate(scratched)
    ]
    assert size_of_class(shipped()["gchsc-high-point"], shown) == scratched.count(False)
