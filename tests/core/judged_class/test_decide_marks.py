"""Marks of maneuvers and of the rider."""

import pytest

from events.judged_class import events as happened
from tests.core.books import NO_RIDER_MARK, shipped
from tests.core.judged_class.scene import Scene, mark, rider, scribe


def test_a_mark_stands_on_the_card() -> None:
    scene = Scene().planned().given(mark("A", "e1", 2, -3), by=scribe("A"))
    assert scene.log[-1] == happened.MarkGiven(seat="A", entry="e1", maneuver=2, mark=-3)
    assert scene.state.cards["A"].rides["e1"].marks[2].version == len(scene.log)


def test_the_first_mark_begins_the_rides() -> None:
    scene = Scene().planned().given(mark("A", "e1", 1, 0))
    assert scene.state.phase == "running"


def test_before_signing_the_latest_mark_counts_and_the_earlier_stays_in_the_log() -> None:
    scene = Scene().planned().given(mark("A", "e1", 1, 1), mark("A", "e1", 1, 3))
    assert scene.state.cards["A"].rides["e1"].marks[1].event.mark == 3
    given = [event.mark for event in scene.log if isinstance(event, happened.MarkGiven)]
    assert given == [1, 3]


def test_marks_of_one_seat_leave_the_others_alone() -> None:
    scene = Scene().planned(seats="AB").given(mark("A", "e1", 1, 6))
    assert scene.state.cards["B"].rides == {}


@pytest.mark.parametrize("points", [-6, -1, 0, 5, 6])
def test_every_mark_of_the_range_may_be_given(points: int) -> None:
    Scene().planned().given(mark("A", "e1", 1, points))


@pytest.mark.parametrize("points", [-7, 7, 100])
def test_a_mark_outside_the_range_is_refused(points: int) -> None:
    refused = Scene().planned().refusal(mark("A", "e1", 1, points))
    assert (refused.code, refused.field) == ("mark_out_of_range", "mark")
    assert "-3 to +3 in steps of 0.5" in refused.message
    assert refused.rule == "small 1, scale"


@pytest.mark.parametrize("points", [-7, 7])
def test_horsemanship_maneuvers_are_marked_from_minus_three_to_plus_three(points: int) -> None:
    # eXtension Horses, Judging Horse Events: Western Horsemanship.
    scene = Scene(shipped("western-horsemanship")).planned()
    scene.refuses(mark("A", "e1", 1, points), "mark_out_of_range", "mark")
    scene.given(mark("A", "e1", 1, 6 if points > 0 else -6))


def test_a_lesser_way_of_performing_caps_the_mark() -> None:
    scene = Scene().planned()
    refused = scene.refusal(mark("A", "e1", 1, 1, performed="simple-change"))
    assert (refused.code, refused.field) == ("mark_above_cap", "mark")
    assert "+0.5 is more than 0" in refused.message
    assert refused.rule == "small 1, caps, simple-change"
    scene.given(mark("A", "e1", 1, 0, performed="simple-change"))


def test_an_unknown_lesser_way_is_refused() -> None:
    asked = mark("A", "e1", 1, 0, performed="backwards")
    Scene().planned().refuses(asked, "unknown_cap", "performed")


def test_the_rider_is_marked_once_and_may_be_marked_again() -> None:
    scene = Scene().planned().given(rider("A", "e1", 6), rider("A", "e1", 7))
    assert scene.log[-1] == happened.RiderMarkGiven(seat="A", entry="e1", mark=7)
    known = scene.state.cards["A"].rides["e1"].rider_mark
    assert known is not None
    assert known.version == len(scene.log)


@pytest.mark.parametrize("points", [-1, 11])
def test_a_rider_mark_outside_its_range_is_refused(points: int) -> None:
    refused = Scene().planned().refusal(rider("A", "e1", points))
    assert (refused.code, refused.field) == ("mark_out_of_range", "mark")
    assert "0 to +5" in refused.message


def test_a_book_without_a_rider_mark_refuses_one() -> None:
    Scene(NO_RIDER_MARK).planned().refuses(rider("A", "e1", 0), "no_rider_mark", "mark")


def test_a_scribe_writes_for_one_seat_only() -> None:
    scene = Scene().planned(seats="AB")
    scene.refuses(mark("B", "e1", 1, 0), "other_seat", "seat", by=scribe("A"))
