"""Scheduling a class, its pattern and its seats."""

import msgspec
import pytest

from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.judged_class.commands import SetPattern
from tests.core.judged_class.scene import SCHEDULE, Scene, mark, rider, scribe


def seat(name: str = "A", judge: str = "judge-1", kind: str = "judge") -> ask.SeatJudge:
    return msgspec.convert({"seat": name, "judge": judge, "kind": kind}, ask.SeatJudge)


def test_a_class_is_scheduled_under_its_rule_book() -> None:
    (event,) = Scene().when(msgspec.structs.replace(SCHEDULE, number=12, ring="Main"))
    assert event == happened.ClassScheduled(
        show="s1", name=SCHEDULE.name, rulebook=SCHEDULE.rulebook, number=12, ring="Main"
    )


def test_a_scheduled_class_is_planned() -> None:
    assert Scene().given(SCHEDULE).state.phase == "planned"


@pytest.mark.parametrize("name", ["", "   "])
def test_a_class_needs_a_name(name: str) -> None:
    Scene().refuses(msgspec.structs.replace(SCHEDULE, name=name), "name_missing", "name")


def test_a_class_is_scheduled_once() -> None:
    other = msgspec.structs.replace(SCHEDULE, name="Another class")
    Scene().given(SCHEDULE).refuses(other, "wrong_phase", None)


def test_a_pattern_keeps_its_maneuvers_in_order() -> None:
    scene = Scene().given(SCHEDULE)
    asked = SetPattern(maneuvers=("Walk", "Jog circle left", "Stop and back"), name="Pattern 4")
    assert scene.when(asked) == (happened.PatternSet(maneuvers=asked.maneuvers, name="Pattern 4"),)


def test_a_pattern_may_be_set_anew_before_the_first_ride() -> None:
    scene = Scene().given(SCHEDULE, SetPattern(maneuvers=("Walk",)))
    scene.given(SetPattern(maneuvers=("Walk", "Jog")))
    assert scene.state.pattern == happened.PatternSet(maneuvers=("Walk", "Jog"))


def test_a_pattern_without_maneuvers_is_refused() -> None:
    Scene().given(SCHEDULE).refuses(SetPattern(maneuvers=()), "pattern_empty", "maneuvers")


def test_the_unnamed_maneuver_is_pointed_at() -> None:
    asked = SetPattern(maneuvers=("Walk", " ", "Jog"))
    Scene().given(SCHEDULE).refuses(asked, "maneuver_unnamed", "maneuvers[1]")


def test_the_pattern_stays_once_rides_began() -> None:
    scene = Scene().planned().given(mark("A", "e1", 1, 0))
    scene.refuses(SetPattern(maneuvers=("Walk",)), "wrong_phase", None)


@pytest.mark.parametrize("name", ["A", "B2", "J100"])
def test_a_judge_takes_a_seat(name: str) -> None:
    scene = Scene().given(SCHEDULE, seat(name))
    assert scene.state.cards[name].judge == "judge-1"
    assert scene.state.cards[name].kind == "judge"


@pytest.mark.parametrize("name", ["", "a", "1", "ABCDE", "A-1", "A\n"])
def test_a_seat_is_named_by_capitals_and_digits(name: str) -> None:
    Scene().given(SCHEDULE).refuses(seat(name), "seat_misnamed", "seat")


def test_a_seat_may_pass_to_somebody_else_before_it_has_judged() -> None:
    scene = Scene().given(SCHEDULE, seat(), seat(judge="judge-2", kind="learner"))
    assert scene.state.cards["A"].judge == "judge-2"
    assert scene.state.cards["A"].kind == "learner"


def test_a_seat_that_has_judged_keeps_its_judge() -> None:
    scene = Scene().planned().given(mark("A", "e1", 1, 0))
    scene.refuses(seat(judge="judge-2"), "seat_has_judged", "seat")


def test_a_signed_seat_keeps_its_judge() -> None:
    scene = Scene().planned(1).given(ask.RecordMissedGate(ref=ask.EntryRef(entry="e1")))
    scene.signed().refuses(seat(judge="judge-2"), "seat_has_judged", "seat")


def test_one_person_takes_one_seat() -> None:
    scene = Scene().given(SCHEDULE, seat())
    scene.refuses(seat("B"), "judge_seated_elsewhere", "judge")


def test_a_seat_is_taken_before_the_class_is_scheduled_by_nobody() -> None:
    Scene().refuses(seat(), "wrong_phase", None)


def test_a_learners_marks_do_not_begin_the_rides() -> None:
    scene = Scene().planned(seats="A", learners="L")
    scene.given(mark("L", "e1", 1, 0), rider("L", "e1", 2), by=scribe("L"))
    assert scene.state.phase == "planned"
    assert scene.state.changed_at == 0
