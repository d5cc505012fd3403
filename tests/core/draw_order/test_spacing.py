"""Whatever is drawn, the repaired order is one of the same rides, and says what it could not do."""

from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.scoring.draw_clashes import AHA_ORDER_OF_GO, Clash, Ride, SpacingLimits, clashes
from events.scoring.draw_search import search
from events.scoring.draw_spacing import Move, space_draw
from tests.core.draw_order.draws import LIMITS, draw, draws, keeps_apart, numbers_of

TWO_BETWEEN = SpacingLimits(rider_apart=(2,), horse_apart=(2,))


def test_a_clash_says_who_how_far_and_how_far_it_should_be() -> None:
    (clash,) = clashes(draw("A..A.A"), SpacingLimits(rider_apart=(2, 3)))
    assert clash == Clash(
        kind="rider", name="A", ride=2, first="04", second="06", between=1, wanted=3
    )
    assert clash.says == "Rider A: 1 between the 2nd and 3rd ride, 3 wanted."


def test_clashes_stand_in_the_order_of_their_first_rides() -> None:
    found = clashes(draw("ABBA"), SpacingLimits(rider_apart=(3,)))
    assert [clash.name for clash in found] == ["A", "B"]


def test_a_horse_with_several_riders_has_time_between_them() -> None:
    drawn = draw("ABC......", "XX.......")
    spacing = space_draw(drawn, TWO_BETWEEN)
    assert spacing.verdict == "clear"
    assert spacing.order.index("02") - spacing.order.index("01") == 3
    assert spacing.repairs[0].clears.says == "Horse X: 0 between the 1st and 2nd ride, 2 wanted."


def test_a_horse_is_not_looked_at_where_nothing_is_asked_for_it() -> None:
    assert clashes(draw("AB", "XX"), AHA_ORDER_OF_GO) == ()


def test_a_repair_names_what_it_moved_and_everybody_who_made_way() -> None:
    (repair,) = space_draw(draw("...A.A.."), AHA_ORDER_OF_GO).repairs
    assert repair.moved == ("04",)
    assert repair.moves == (
        Move(entry="03", before=3, after=4),
        Move(entry="04", before=4, after=3),
    )


def test_an_order_without_clashes_stays_as_it_was_drawn() -> None:
    drawn = draw("A..A...A", "X..Y..X.")
    spacing = space_draw(drawn, TWO_BETWEEN)
    assert spacing.order == tuple(ride.entry for ride in drawn)
    assert (spacing.verdict, spacing.repairs, spacing.why) == ("clear", (), None)


def test_a_class_too_small_says_how_many_places_are_wanting() -> None:
    spacing = space_draw(draw("A.A.A."), AHA_ORDER_OF_GO)
    assert spacing.verdict == "impossible"
    assert spacing.why == (
        "Rider A has 3 rides, which take 8 places with those between; the class has 6."
    )
    assert spacing.left


def test_riders_who_shut_each_other_out_are_impossible_together() -> None:
    spacing = space_draw(draw("AABB"), SpacingLimits(rider_apart=(2,)))
    assert spacing.verdict == "impossible"
    assert spacing.why == "No order of these 4 rides keeps everybody apart."


def test_two_rides_may_be_moved_apart_to_both_ends_of_the_class() -> None:
    drawn = draw(".AA.")
    spacing = space_draw(drawn, SpacingLimits(rider_apart=(2,)))
    assert numbers_of(drawn, spacing, "A") == [1, 4]
    assert [repair.step for repair in spacing.repairs] == ["both"]


def test_what_the_steps_do_not_clear_is_searched_for() -> None:
    drawn = draw("AAAB...")
    spacing = space_draw(drawn, SpacingLimits(rider_apart=(2,)))
    assert spacing.verdict == "clear"
    assert numbers_of(drawn, spacing, "A") == [1, 4, 7]
    assert [repair.step for repair in spacing.repairs] == ["backward", "search"]
    assert spacing.repairs[-1].moved == tuple(move.entry for move in spacing.repairs[-1].moves)


def test_a_search_that_is_given_up_does_not_call_it_impossible() -> None:
    spacing = space_draw(draw("AAAB..."), SpacingLimits(rider_apart=(2,)), most_tries=3)
    assert spacing.verdict == "not_found"
    assert spacing.why == "No order was found in 3 tries; there may be one."
    assert spacing.left


def test_a_search_takes_back_what_leads_nowhere() -> None:
    drawn = draw("A.BB", "X..X")
    found = search(drawn, SpacingLimits(rider_apart=(1,), horse_apart=(1,)), most_tries=50)
    assert found.found == "order"
    assert keeps_apart(found.order, SpacingLimits(rider_apart=(1,), horse_apart=(1,)))


def test_an_empty_class_needs_no_repair() -> None:
    assert space_draw([], AHA_ORDER_OF_GO).verdict == "clear"


def test_a_full_class_of_doubled_rides_is_cleared() -> None:
    riders = "".join(letter * 3 for letter in "ABCDEFGHIJ")
    horses = "".join(riders[5:] + riders[:5]).lower()
    limits = SpacingLimits(rider_apart=(2, 3), horse_apart=(2, 3))
    assert space_draw(draw(riders, horses), limits).verdict == "clear"


@given(draws(most=30), LIMITS)
def test_the_same_rides_come_out_and_clear_means_clear(
    drawn: list[Ride], limits: SpacingLimits
) -> None:
    spacing = space_draw(drawn, limits, most_tries=200)
    rides = {ride.entry: ride for ride in drawn}
    order = [rides[entry] for entry in spacing.order]
    assert sorted(spacing.order) == sorted(rides)
    assert keeps_apart(order, limits) == (spacing.verdict == "clear")
    assert spacing.left == clashes(order, limits)


@given(draws(most=30), LIMITS)
def test_every_step_leaves_fewer_clashes(drawn: list[Ride], limits: SpacingLimits) -> None:
    spacing = space_draw(drawn, limits, most_tries=200)
    cleared = [repair for repair in spacing.repairs if repair.step != "search"]
    assert len(clashes(drawn, limits)) >= len(cleared) + len(spacing.left)


@given(draws(most=6), LIMITS)
def test_an_order_is_called_impossible_when_no_order_would_do(
    drawn: list[Ride], limits: SpacingLimits
) -> None:
    possible = any(keeps_apart(order, limits) for order in permutations(drawn))
    assert space_draw(drawn, limits).verdict == ("clear" if possible else "impossible")


@given(draws(most=20), st.integers(0, 3))
def test_riders_names_change_no_order(drawn: list[Ride], apart: int) -> None:
    renamed = [
        Ride(entry=ride.entry, rider=f"r{ride.rider}", horse=f"h{ride.horse}") for ride in drawn
    ]
    limits = SpacingLimits(rider_apart=(apart,), horse_apart=(apart,))
    one = space_draw(drawn, limits, most_tries=200)
    assert space_draw(renamed, limits, most_tries=200).order == one.order


@pytest.mark.parametrize("size", [0, 1, 7])
def test_rides_that_nobody_shares_never_clash(size: int) -> None:
    assert clashes(draw("." * size), TWO_BETWEEN) == ()
