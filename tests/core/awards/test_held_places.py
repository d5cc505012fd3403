"""Entries that share a place hold as many places as they are."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.scoring.held_places import Held, PlacesUnsound, held_places


def test_two_that_share_second_hold_second_and_third() -> None:
    assert held_places({"4": 4, "3": 2, "1": 1, "2": 2}) == (
        Held(entries=("1",), places=(1,)),
        Held(entries=("2", "3"), places=(2, 3)),
        Held(entries=("4",), places=(4,)),
    )


def test_a_place_that_nobody_holds_stays_open() -> None:
    assert [held.places for held in held_places({"1": 1, "2": 3})] == [(1,), (3,)]


def test_a_place_that_would_be_held_twice_is_refused_with_its_entries() -> None:
    with pytest.raises(PlacesUnsound, match="Place 2 of 3 is held already") as refused:
        held_places({"1": 1, "2": 1, "3": 2})
    assert (refused.value.place, refused.value.entries) == (2, ("3",))


def test_there_is_no_place_before_the_first() -> None:
    with pytest.raises(PlacesUnsound):
        held_places({"1": 0})


@given(st.lists(st.integers(1, 4), max_size=9))
def test_every_place_of_a_placing_is_held_once(better: list[int]) -> None:
    places = {str(n): 1 + sum(other < own for other in better) for n, own in enumerate(better)}
    held = [place for group in held_places(places) for place in group.places]
    assert held == list(range(1, len(better) + 1))
