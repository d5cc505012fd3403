"""Money in equals money out and what is stated to be left."""

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.scoring.held_places import PlacesUnsound
from events.scoring.payout import Prize, Schedule, ScheduleUnfit, pay_out, schedule

PARTS = st.lists(st.integers(0, 2000).map(lambda tenth: tenth / 100), max_size=5)
SCHEDULES = st.builds(
    schedule,
    PARTS.map(lambda parts: sorted(parts, reverse=True)),
    odd_cents=st.sampled_from(["kept", "to_first"]),
    unfilled=st.sampled_from(["kept", "shared_evenly"]),
)
PURSES = st.integers(0, 10_000_00)


def _places(better: list[int]) -> dict[str, int]:
    return {f"{n:02}": 1 + sum(other < own for other in better) for n, own in enumerate(better)}


PLACES = st.lists(st.integers(1, 4), max_size=7).map(_places)


@given(PURSES, SCHEDULES, PLACES)
def test_money_in_is_money_out_and_what_is_left(
    purse: int, by: Schedule, places: dict[str, int]
) -> None:
    out = pay_out(purse, by, places)
    left = (out.unscheduled, out.unfilled, out.odd_cents)
    assert sum(prize.cents for prize in out.prizes) == out.paid
    assert out.paid + sum(left) == purse
    assert min(left, default=0) >= 0


@given(PURSES, SCHEDULES, PLACES)
def test_nobody_is_a_cent_below_the_schedule_nor_far_above(
    purse: int, by: Schedule, places: dict[str, int]
) -> None:
    for prize in pay_out(purse, by, places).prizes:
        exactly = purse * prize.percent / 100
        assert 0 <= exactly - (prize.cents - prize.odd_cents) < 1


@given(PURSES, SCHEDULES, PLACES, st.data())
def test_the_order_in_which_entries_were_entered_pays_nothing(
    purse: int, by: Schedule, places: dict[str, int], data: st.DataObject
) -> None:
    order = data.draw(st.permutations(sorted(places)))
    assert pay_out(purse, by, {entry: places[entry] for entry in order}) == pay_out(
        purse, by, places
    )


@given(PURSES, SCHEDULES, PLACES)
def test_equal_entries_have_equal_cents_and_better_ones_no_less(
    purse: int, by: Schedule, places: dict[str, int]
) -> None:
    cents = [(prize.place, prize.cents) for prize in pay_out(purse, by, places).prizes]
    for (place, more), (next_place, less) in pairwise(cents):
        assert more == less if place == next_place else more >= less


@given(PURSES, SCHEDULES, PLACES)
def test_odd_cents_are_fewer_than_the_entries_that_were_rounded(
    purse: int, by: Schedule, places: dict[str, int]
) -> None:
    assert pay_out(purse, by, places).odd_cents <= len(places)


def test_the_odd_cent_stays_in_the_purse_unless_the_schedule_says_otherwise() -> None:
    places = {"1": 1, "2": 2, "3": 3}
    thirds = ("100/3", "100/3", "100/3")
    kept = pay_out(1_00, schedule(thirds), places)
    assert ([prize.cents for prize in kept.prizes], kept.odd_cents) == ([33, 33, 33], 1)
    assert kept.notes == ("Rounding down to the cent leaves 1 in the purse.",)
    given_out = pay_out(1_00, schedule(thirds, odd_cents="to_first"), places)
    assert [prize.cents for prize in given_out.prizes] == [34, 33, 33]
    assert given_out.prizes[0] == Prize(
        entry="1", place=1, percent=Fraction(100, 3), cents=34, odd_cents=1
    )
    assert (given_out.odd_cents, given_out.notes) == (0, ())


def test_an_odd_cent_that_two_winners_cannot_share_stays_in_the_purse() -> None:
    out = pay_out(1_01, schedule((60, 40), odd_cents="to_first"), {"1": 1, "2": 1})
    assert [prize.cents for prize in out.prizes] == [50, 50]
    assert out.odd_cents == 1


def test_a_tie_at_the_last_paid_place_shares_that_place_alone() -> None:
    out = pay_out(1000_00, schedule((60, 40)), {"1": 1, "2": 2, "3": 2, "4": 4})
    assert [prize.cents for prize in out.prizes] == [600_00, 200_00, 200_00, 0]


def test_places_that_nobody_holds_are_stated() -> None:
    out = pay_out(1000_00, schedule((60, 40)), {"1": 1})
    assert (out.paid, out.unfilled) == (600_00, 400_00)
    assert out.notes == ("Nobody holds places worth 40 % of the purse.",)


def test_with_nobody_placed_the_whole_purse_is_left() -> None:
    by = schedule((60, 40), odd_cents="to_first", unfilled="shared_evenly")
    out = pay_out(1000_00, by, {})
    assert (out.prizes, out.unfilled) == ((), 1000_00)


def test_a_schedule_that_gives_out_more_than_there_is_is_refused() -> None:
    with pytest.raises(ScheduleUnfit, match=r"comes to 100\.5 % of the purse") as refused:
        schedule((60, 40.5))
    assert refused.value.field == "percentages"


def test_a_place_is_not_paid_less_than_nothing() -> None:
    with pytest.raises(ScheduleUnfit, match="less than nothing") as refused:
        schedule((60, -1))
    assert refused.value.field == "percentages"


def test_a_purse_is_not_less_than_nothing() -> None:
    with pytest.raises(ScheduleUnfit, match="A purse cannot be") as refused:
        pay_out(-1, schedule((100,)), {})
    assert refused.value.field == "purse"


def test_a_place_held_twice_is_not_paid_twice() -> None:
    with pytest.raises(PlacesUnsound):
        pay_out(1000_00, schedule((50, 50)), {"1": 1, "2": 1, "3": 2})
