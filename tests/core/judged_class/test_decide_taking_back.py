"""What a judge takes back before signing, as when it was written for the wrong entry."""

import pytest

from events.envelope import Command
from events.judged_class import commands as ask
from events.judged_class import events as happened
from tests.core.books import TIMED
from tests.core.judged_class.scene import (
    Scene,
    entry,
    mark,
    observe,
    outcome,
    penalty,
    rider,
    scribe,
)

E1, E2 = entry("e1"), entry("e2")
MARK = ask.WithdrawMark(seat="A", ref=E1, maneuver=1)
RIDER = ask.WithdrawRiderMark(seat="A", ref=E1)
SEEN = ask.WithdrawObservation(seat="A", ref=E1, observation="o1")
TIME = ask.WithdrawTime(seat="A", ref=E1)
PENALTY = ask.WithdrawPenalty(seat="A", ref=E1, call="p1")
LIFT = ask.LiftOutcome(seat="A", ref=E1)

CASES: list[tuple[Command, Command, happened.TakenBack]] = [
    (mark("A", "e1", 1, 2), MARK, happened.MarkWithdrawn(seat="A", entry="e1", maneuver=1)),
    (rider("A", "e1", 4), RIDER, happened.RiderMarkWithdrawn(seat="A", entry="e1")),
    (
        observe("A", "e1", "o1"),
        SEEN,
        happened.ObservationWithdrawn(seat="A", entry="e1", observation="o1"),
    ),
    (
        penalty("A", "e1", "p1", code="tick"),
        PENALTY,
        happened.PenaltyWithdrawn(seat="A", entry="e1", call="p1"),
    ),
    (outcome("A", "e1", "zero"), LIFT, happened.OutcomeLifted(seat="A", entry="e1")),
]


@pytest.mark.parametrize(("given", "back", "event"), CASES)
def test_a_fact_is_taken_back_and_nothing_is_left_of_the_ride(
    given: Command, back: Command, event: happened.TakenBack
) -> None:
    scene = Scene().planned()
    assert scene.when(back) == ()
    scene.given(given, back, by=scribe("A"))
    assert scene.log[-1] == event
    assert scene.state.cards["A"].rides == {}


def test_a_time_is_taken_back() -> None:
    scene = Scene(TIMED).planned()
    assert scene.when(TIME) == ()
    scene.given(ask.GiveTime(seat="A", ref=E1, milliseconds=9_000), TIME)
    assert scene.log[-1] == happened.TimeWithdrawn(seat="A", entry="e1")
    assert scene.state.cards["A"].rides == {}


def test_an_entry_from_which_everything_was_taken_back_may_still_miss_the_gate() -> None:
    scene = Scene().planned().given(mark("A", "e1", 1, 2), MARK)
    scene.given(ask.RecordMissedGate(ref=E1))


def test_what_was_written_for_the_wrong_entry_is_taken_back_and_given_to_the_right_one() -> None:
    moved = [mark("A", "e1", 1, 2), mark("A", "e1", 2, 1), rider("A", "e1", 4)]
    scene = Scene().planned(2).given(*moved)
    scene.given(
        MARK,
        ask.WithdrawMark(seat="A", ref=E1, maneuver=2),
        RIDER,
        mark("A", "e2", 1, 2),
        mark("A", "e2", 2, 1),
        rider("A", "e2", 4),
    )
    assert set(scene.state.cards["A"].rides) == {"e2"}


def test_what_else_stands_stays() -> None:
    kept = [
        mark("A", "e1", 2, 1),
        penalty("A", "e1", "p2", code="tick"),
        observe("A", "e1", "o2"),
    ]
    scene = Scene().planned().given(*(each for each, _, _ in CASES), *kept)
    scene.given(*(back for _, back, _ in CASES))
    ride = scene.state.cards["A"].rides["e1"]
    assert list(ride.marks) == [2]
    assert [known.event.call for known in ride.penalties] == ["p2"]
    assert [known.event.observation for known in ride.observations] == ["o2"]
    assert (ride.rider_mark, ride.outcome) == (None, None)


def test_a_mark_of_a_maneuver_that_the_pattern_does_not_have_is_refused() -> None:
    wrong = ask.WithdrawMark(seat="A", ref=E1, maneuver=9)
    Scene().planned().refuses(wrong, "unknown_maneuver", "maneuver")


@pytest.mark.parametrize("back", [MARK, RIDER, SEEN, PENALTY, LIFT])
def test_a_signed_card_gives_nothing_back(back: Command) -> None:
    scene = Scene().planned(2).given(*(each for each, _, _ in CASES))
    scene.marked({"e1": 0, "e2": 0}).signed()
    scene.refuses(back, "card_is_signed", "seat")


def test_taking_back_on_a_seat_or_for_an_entry_that_there_is_not_is_refused() -> None:
    scene = Scene().planned()
    scene.refuses(ask.WithdrawRiderMark(seat="Z", ref=E1), "unknown_seat", "seat")
    scene.refuses(ask.WithdrawRiderMark(seat="A", ref=entry("e8")), "unknown_entry", "entry")


def test_a_class_in_which_everything_was_taken_back_has_not_begun() -> None:
    scene = Scene().planned(2, learners="L").given(mark("L", "e1", 1, 2), mark("A", "e1", 1, 2))
    phases = [scene.state.phase, scene.given(MARK).state.phase]
    assert phases == ["running", "planned"]
    scene.given(ask.SetPattern(maneuvers=("Walk", "Jog", "Lope")))
    scene.given(mark("A", "e1", 1, 2), mark("A", "e2", 1, 0), MARK)
    assert scene.state.phase == "running"
