"""Penalties by code, by size and by both, and taking them back."""

import pytest

from events.judged_class import commands as ask
from events.judged_class import events as happened
from tests.core.books import shipped
from tests.core.judged_class.scene import Scene, entry, mark, penalty


def called(scene: Scene) -> list[tuple[str, int]]:
    rides = scene.state.cards["A"].rides
    return [(known.event.call, known.event.points) for known in rides["e1"].penalties]


def withdraw(call: str) -> ask.WithdrawPenalty:
    return ask.WithdrawPenalty(seat="A", ref=entry("e1"), call=call)


def test_a_penalty_by_code_costs_what_the_book_says() -> None:
    scene = Scene().planned().given(penalty("A", "e1", "p1", code="tick", maneuver=2))
    assert scene.log[-1] == happened.PenaltyCalled(
        seat="A", entry="e1", call="p1", points=6, code="tick", maneuver=2
    )


def test_a_penalty_by_size_alone_needs_no_code() -> None:
    # Common practice: a paper card often shows only "5" above a maneuver.
    scene = Scene(shipped("western-horsemanship")).planned()
    scene.given(penalty("A", "e1", "p1", points=10, maneuver=1))
    assert scene.log[-1] == happened.PenaltyCalled(
        seat="A", entry="e1", call="p1", points=10, maneuver=1
    )


def test_a_code_and_a_size_may_agree() -> None:
    scene = Scene().planned().given(penalty("A", "e1", "p1", code="tick", points=6))
    assert called(scene) == [("p1", 6)]


def test_every_occurrence_of_a_penalty_counts() -> None:
    scene = Scene().planned()
    scene.given(*(penalty("A", "e1", f"p{number}", code="tick") for number in range(3)))
    assert called(scene) == [("p0", 6), ("p1", 6), ("p2", 6)]


@pytest.mark.parametrize("points", [2, 4, 6, 8])
def test_a_graded_penalty_costs_what_the_judge_chooses(points: int) -> None:
    scene = Scene().planned().given(penalty("A", "e1", "p1", code="rough", points=points))
    assert called(scene) == [("p1", points)]


@pytest.mark.parametrize("points", [None, 0, 1, 3, 10])
def test_a_graded_penalty_stays_inside_its_bounds(points: int | None) -> None:
    refused = Scene().planned().refusal(penalty("A", "e1", "p1", code="rough", points=points))
    assert (refused.code, refused.field) == ("penalty_out_of_range", "points")
    assert "1 to 4 points in steps of 1" in refused.message
    assert refused.rule == "small 1, penalties, rough"


@pytest.mark.parametrize(
    ("asked", "code", "field"),
    [
        (penalty("A", "e1", "p1"), "penalty_not_named", "points"),
        (penalty("A", "e1", "p1", code="lost-hat"), "unknown_penalty", "code"),
        (penalty("A", "e1", "p1", code="tick", points=10), "penalty_points_disagree", "points"),
        (penalty("A", "e1", "p1", code="tick", points=0), "penalty_points_disagree", "points"),
        (penalty("A", "e1", "p1", points=12), "unknown_penalty_size", "points"),
        (penalty("A", "e1", "p1", points=0), "unknown_penalty_size", "points"),
        (penalty("A", "e1", "p1", points=-6), "unknown_penalty_size", "points"),
        (penalty("A", "e1", "p1", code="tick", maneuver=9), "unknown_maneuver", "maneuver"),
    ],
)
def test_a_penalty_that_the_book_does_not_have_is_refused(
    asked: ask.CallPenalty, code: str, field: str
) -> None:
    Scene().planned().refuses(asked, code, field)


def test_a_size_that_disagrees_is_told_what_the_code_costs() -> None:
    refused = Scene().planned().refusal(penalty("A", "e1", "p1", code="tick", points=1))
    assert refused.message == "Cone ticked costs 3 points, not 0.5."


def test_a_call_id_names_one_penalty_of_a_ride() -> None:
    scene = Scene().planned().given(penalty("A", "e1", "p1", code="tick"))
    scene.refuses(penalty("A", "e1", "p1", code="stop-late"), "call_id_taken", "call")
    scene.given(penalty("A", "e2", "p1", code="stop-late"))


def test_a_penalty_is_taken_back_before_signing() -> None:
    scene = Scene().planned()
    scene.given(penalty("A", "e1", "p1", code="tick"), penalty("A", "e1", "p2", code="tick"))
    scene.given(withdraw("p1"))
    assert scene.log[-1] == happened.PenaltyWithdrawn(seat="A", entry="e1", call="p1")
    assert called(scene) == [("p2", 6)]


def test_a_penalty_that_does_not_stand_is_taken_back_already() -> None:
    assert Scene().planned().when(withdraw("p1")) == ()


def test_marks_and_penalties_of_a_maneuver_are_independent() -> None:
    # eXtension Horses, Judging Horse Events: Western Riding.
    scene = Scene().planned(maneuvers=1).marked({"e1": 3})
    scene.given(penalty("A", "e1", "p1", code="tick", maneuver=1), mark("A", "e1", 1, 4))
    assert scene.rows()[0].total == 140 + 4 - 6
