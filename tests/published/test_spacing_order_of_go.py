"""Repairs of a draw against AHA, AEPA Class: Establishing 'Order of Go' (studylib.net/doc/7137554).

The publication gives the distances, the order of the steps and the examples used here; where it
leaves the arrangement open, the expected order is the only one that keeps to what it says.
"""

from events.scoring.draw_clashes import AHA_ORDER_OF_GO, clashes
from events.scoring.draw_spacing import space_draw
from tests.core.draw_order.draws import draw, numbers_of, riders_of


def test_second_and_fifth_position_leave_the_two_horses_between_that_are_asked() -> None:
    drawn = draw(".A..A...")
    assert clashes(drawn, AHA_ORDER_OF_GO) == ()
    assert space_draw(drawn, AHA_ORDER_OF_GO).order == tuple(ride.entry for ride in drawn)


def test_positions_2_5_and_9_leave_two_and_three_horses_between() -> None:
    assert clashes(draw(".A..A...A..."), AHA_ORDER_OF_GO) == ()
    assert [clash.wanted for clash in clashes(draw(".A..A..A...."), AHA_ORDER_OF_GO)] == [3]


def test_the_first_adjustment_moves_a_horse_forward_from_5_to_4() -> None:
    drawn = draw("....A.A.....")
    spacing = space_draw(drawn, AHA_ORDER_OF_GO)
    assert numbers_of(drawn, spacing, "A") == [4, 7]
    assert [repair.step for repair in spacing.repairs] == ["forward"]


def test_the_second_adjustment_moves_a_horse_backward_when_forward_is_no_way() -> None:
    drawn = draw("A.A.........")
    spacing = space_draw(drawn, AHA_ORDER_OF_GO)
    assert numbers_of(drawn, spacing, "A") == [1, 4]
    assert [repair.step for repair in spacing.repairs] == ["backward"]


def test_the_second_adjustment_is_tried_when_the_first_is_a_problem_for_another_rider() -> None:
    # Any way forward for A's second horse pushes B's first one too close to B's second.
    drawn = draw("A...BA.BA...")
    spacing = space_draw(drawn, AHA_ORDER_OF_GO)
    assert [repair.step for repair in spacing.repairs] == ["backward"]
    assert numbers_of(drawn, spacing, "A") == [1, 6, 10]
    assert numbers_of(drawn, spacing, "B") == [5, 8]


def test_the_third_adjustment_of_7_9_11_in_a_class_of_twelve_ends_at_5_8_12() -> None:
    drawn = draw("......A.A.A.")
    spacing = space_draw(drawn, AHA_ORDER_OF_GO)
    assert numbers_of(drawn, spacing, "A") == [5, 8, 12]
    assert spacing.repairs[-1].step == "both"


def test_first_and_second_horse_are_looked_at_before_the_third() -> None:
    drawn = draw("..A.A.A..........")
    cleared = [repair.clears.ride for repair in space_draw(drawn, AHA_ORDER_OF_GO).repairs]
    assert cleared == sorted(cleared)
    assert cleared[0] == 1


def test_an_adjustment_of_one_rider_makes_no_new_problem_for_another() -> None:
    drawn = draw(".AA.BB.......")
    spacing = space_draw(drawn, AHA_ORDER_OF_GO)
    assert spacing.verdict == "clear"
    assert riders_of(drawn, spacing).count("A") == riders_of(drawn, spacing).count("B") == 2
    assert clashes(draw(riders_of(drawn, spacing)), AHA_ORDER_OF_GO) == ()


def test_more_than_three_horses_for_one_rider_are_not_an_order_of_go() -> None:
    spacing = space_draw(draw("A....A....A....A...."), AHA_ORDER_OF_GO)
    assert spacing.verdict == "too_many_rides"
    assert spacing.why == "Rider A has 4 rides; 3 are allowed."
