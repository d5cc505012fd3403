"""Rides called something other than a normal score, and faults that are only noted."""

import pytest

from events.judged_class import commands as ask
from events.judged_class import events as happened
from tests.core.judged_class.scene import Scene, entry, observe, outcome, ridden

LIFT = ask.LiftOutcome(seat="A", ref=entry("e1"))


def test_an_outcome_is_called_at_a_maneuver_for_a_reason() -> None:
    asked = ask.CallOutcome(
        seat="A", ref=entry("e1"), kind="off_pattern", maneuver=2, reason="sha256:cone"
    )
    assert Scene().planned().when(asked) == (
        happened.OutcomeCalled(
            seat="A", entry="e1", kind="off_pattern", maneuver=2, reason="sha256:cone"
        ),
    )


def test_an_outcome_takes_the_place_of_the_one_before() -> None:
    scene = Scene().planned(1).given(outcome("A", "e1", "zero"))
    scene.given(outcome("A", "e1", "disqualified"))
    assert scene.rows()[0].outcome == "disqualified"


def test_an_outcome_that_the_book_does_not_know_is_refused() -> None:
    refused = Scene().planned().refusal(outcome("A", "e1", "no_score"))
    assert (refused.code, refused.field) == ("outcome_not_in_rule_book", "kind")
    assert refused.facts["kind"] == "no_score"
    assert refused.rule == "small 1, outcomes"


def test_an_outcome_names_a_maneuver_of_the_pattern() -> None:
    asked = outcome("A", "e1", "off_pattern", maneuver=3)
    Scene().planned(maneuvers=2).refuses(asked, "unknown_maneuver", "maneuver")


def test_an_outcome_is_lifted_before_signing() -> None:
    scene = ridden(e1=2, e2=0).given(outcome("A", "e1", "off_pattern"))
    assert scene.placed() == {"e2": "1", "e1": "2"}
    scene.given(LIFT)
    assert scene.log[-1] == happened.OutcomeLifted(seat="A", entry="e1")
    assert scene.placed() == {"e1": "1", "e2": "2"}


def test_an_outcome_that_does_not_stand_is_lifted_already() -> None:
    assert Scene().planned().when(LIFT) == ()


def test_a_fault_is_noted_and_costs_nothing() -> None:
    scene = ridden(e1=2)
    before = scene.rows()
    scene.given(observe("A", "e1", "o1", maneuver=1))
    assert scene.log[-1] == happened.FaultObserved(
        seat="A", entry="e1", observation="o1", code="eyes-down", maneuver=1
    )
    assert scene.rows() == before


@pytest.mark.parametrize(
    ("asked", "code", "field"),
    [
        (observe("A", "e1", "o1", code="hat-lost"), "unknown_fault", "code"),
        (observe("A", "e1", "o1", maneuver=0), "unknown_maneuver", "maneuver"),
    ],
)
def test_a_fault_that_the_book_or_the_pattern_does_not_have_is_refused(
    asked: ask.ObserveFault, code: str, field: str
) -> None:
    Scene().planned().refuses(asked, code, field)


def test_an_observation_id_names_one_observation_of_a_ride() -> None:
    scene = Scene().planned().given(observe("A", "e1", "o1"))
    scene.refuses(observe("A", "e1", "o1", maneuver=2), "observation_id_taken", "observation")
    scene.given(observe("A", "e1", "o2", maneuver=2), observe("A", "e2", "o1", maneuver=2))
