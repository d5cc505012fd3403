"""A class that is cancelled, moved, or combined with another."""

from datetime import date

import msgspec
import pytest

from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.judged_class.evolve import fold
from events.judged_class.state import INITIAL
from events.projections.placing import placing
from events.rulebook.model import PanelChoice, TieSeats
from tests.core.books import SUMMED
from tests.core.judged_class.scene import SCHEDULE, STEWARD, Scene, entry, mark, ridden, scribe

CANCEL = ask.CancelClass(reason="sha256:one-entry")
LIFT = ask.LiftCancellation(reason="sha256:they-came")
COMBINE = ask.CombineClass(
    other="c2", division="Amateur", own_division="Open", reason="sha256:two-each", both=("e2",)
)
MOVE = ask.RescheduleClass(
    name="Youth horsemanship",
    number=15,
    ring="Lower ring",
    day=date(2026, 6, 7),
    reason="sha256:flooded",
)


def test_a_cancelled_class_takes_nothing_any_more() -> None:
    scene = Scene().planned().given(CANCEL)
    assert scene.log[-1] == happened.ClassCancelled(reason="sha256:one-entry")
    assert scene.state.phase == "cancelled"
    refused = scene.refusal(mark("A", "e1", 1, 0), by=scribe("A"))
    assert refused.code == "wrong_phase"
    assert refused.message.startswith("The class is cancelled: ")


@pytest.mark.parametrize("begun", [False, True])
def test_a_class_that_is_held_after_all_goes_on_where_it_was(begun: bool) -> None:
    scene = Scene().planned()
    if begun:
        scene.given(mark("A", "e1", 1, 0))
    before = scene.state
    scene.given(CANCEL, LIFT, by=STEWARD)
    assert scene.state == msgspec.structs.replace(before, version=before.version + 2)
    assert scene.when(LIFT, by=STEWARD) == ()


def test_results_that_were_posted_are_not_cancelled_away() -> None:
    ridden(e1=1, e2=0).posted().refuses(CANCEL, "wrong_phase", None)


def test_a_combined_class_gives_each_of_the_two_a_division() -> None:
    open_already = ask.AcceptEntry(entry="e8", back_number=61, exhibitor="p8", divisions=("Open",))
    scene = Scene().planned().given(open_already, COMBINE, ask.ScratchEntry(ref=entry("e8")))
    assert scene.state.entries["e8"].divisions == ("Open",)
    assert scene.state.entries["e1"].divisions == ("Open",)
    assert scene.state.entries["e2"].divisions == ("Open", "Amateur")
    came = ask.AcceptEntry(entry="n1", back_number=700, exhibitor="p9", divisions=("Amateur",))
    scene.given(came, ask.SetDraw(order=("e1", "n1", "e2", "e3")))
    scene.marked({"e1": 0, "n1": 2, "e2": 1, "e3": -1})
    whole = placing(scene.state, scene.book)
    assert scene.placed() == {"n1": "1", "e2": "2", "e1": "3", "e3": "4"}
    places = {
        each.name: {row.entry: row.place for row in each.seats[0].rows} for each in whole.divisions
    }
    assert places == {"Amateur": {"n1": 1, "e2": 2}, "Open": {"e2": 1, "e1": 2, "e3": 3}}


@pytest.mark.parametrize("field", ["division", "own_division"])
def test_divisions_of_a_combined_class_have_names(field: str) -> None:
    blank = msgspec.structs.replace(COMBINE, **{field: " "})
    Scene().planned().refuses(blank, "name_missing", field)


def test_the_two_divisions_of_a_combined_class_have_different_names() -> None:
    alike = msgspec.structs.replace(COMBINE, division="Open")
    Scene().planned().refuses(alike, "divisions_alike", "division")


def test_a_class_that_is_held_within_another_is_not_held_by_itself_again() -> None:
    scene = Scene().planned().given(ask.CombineInto(into="c2", reason="sha256:two-each"))
    assert scene.log[-1] == happened.CombinedInto(into="c2", reason="sha256:two-each")
    refused = scene.refusal(LIFT)
    assert (refused.code, refused.facts["into"]) == ("class_combined", "c2")
    scene.refuses(ask.CombineInto(into="c3", reason="x"), "wrong_phase", None)


def test_classes_are_combined_before_the_first_ride() -> None:
    ridden(e1=1).refuses(COMBINE, "wrong_phase", None)


def test_a_class_is_renamed_renumbered_and_moved() -> None:
    scene = Scene().planned().given(MOVE)
    scheduled = scene.state.scheduled
    assert scheduled is not None
    assert (scheduled.name, scheduled.number) == ("Youth horsemanship", 15)
    assert (scheduled.ring, scheduled.day) == ("Lower ring", date(2026, 6, 7))
    assert scheduled.rulebook == SCHEDULE.rulebook
    again = msgspec.structs.replace(MOVE, reason="sha256:another")
    assert scene.when(again) == ()
    scene.refuses(msgspec.structs.replace(MOVE, name=" "), "name_missing", "name")


def test_a_class_that_is_on_no_schedule_is_not_moved() -> None:
    Scene().refuses(MOVE, "wrong_phase", None)
    event = happened.ClassRescheduled(name="x", reason="x")
    assert fold([event]) == msgspec.structs.replace(INITIAL, version=1)


def by_number() -> Scene:
    choice = PanelChoice(method="sum", tie_judge=TieSeats(odd="A", even="B"))
    scheduled = msgspec.structs.replace(SCHEDULE, panel=choice, number=14)
    return Scene(SUMMED).given(scheduled)


def test_the_number_that_says_who_breaks_ties_stays_once_rides_began() -> None:
    """IHSA Western Scoring Explanation: the tie-break judge is fixed before the show."""
    scene = by_number().given(
        ask.SetPattern(maneuvers=("Walk",)),
        ask.SeatJudge(seat="A", judge="judge-A"),
        ask.SeatJudge(seat="B", judge="judge-B"),
        ask.AcceptEntry(entry="e1", back_number=214, exhibitor="p1"),
        ask.SetDraw(order=("e1",)),
    )
    assert scene.when(MOVE) != ()
    scene.refuses(msgspec.structs.replace(MOVE, number=None), "panel_needs_number", "number")
    scene.given(mark("A", "e1", 1, 0))
    scene.refuses(MOVE, "number_breaks_ties", "number")
    scene.given(msgspec.structs.replace(MOVE, number=14))


def test_a_tie_judge_is_not_scheduled_for_a_class_without_a_number() -> None:
    choice = PanelChoice(method="sum", tie_judge=TieSeats(odd="A", even="B"))
    numberless = msgspec.structs.replace(SCHEDULE, panel=choice)
    Scene(SUMMED).refuses(numberless, "panel_needs_number", "number")


def test_what_moves_nothing_only_counts_a_version() -> None:
    for event in (
        happened.ClassRescheduled(name="x", reason="x"),
        happened.CancellationLifted(reason="x"),
        happened.PanelChanged(reason="x"),
        happened.JudgeReplaced(seat="A", judge="j", reason="x"),
        happened.SeatClosed(seat="A", reason="x", panel=PanelChoice(method="sum")),
    ):
        state = fold([event])
        assert msgspec.structs.replace(state, changed_at=0, version=0) == INITIAL
    twice = fold([happened.ClassCancelled(reason="x"), happened.ClassCancelled(reason="y")])
    assert twice.cancelled is not None
    assert twice.cancelled.phase == "unscheduled"
