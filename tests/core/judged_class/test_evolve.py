"""How events move the state on, also those that fit nothing."""

import pytest

from events.judged_class import events as happened
from events.judged_class.events import ClassEvent
from events.judged_class.evolve import evolve, fold, skip
from events.judged_class.state import INITIAL
from tests.core.judged_class.scene import Scene, correction, mark, ridden

MARK = happened.MarkGiven(seat="Z", entry="e1", maneuver=1, mark=0)
FITS_NOTHING: list[ClassEvent] = [
    MARK,
    happened.PenaltyWithdrawn(seat="Z", entry="e1", call="p1"),
    happened.OutcomeLifted(seat="Z", entry="e1"),
    happened.CardSigned(seat="Z"),
    happened.CardReopened(seat="Z", reason="x"),
    happened.OrderSet(seat="Z", order_id="r1", by="rail_work", order=("e1",), basis=()),
    happened.OrderConfirmed(seat="Z", order_id="r1", basis=()),
    happened.OrderWithdrawn(seat="Z", order_id="r1"),
    happened.CardPlaced(seat="Z", order=("e1",)),
    happened.CardCalledBack(seat="Z", entries=("e1",)),
    happened.EntryScratched(entry="e9"),
    happened.EntryCalled(entry="e9", call=1),
    happened.EntryOutOfOrder(entry="e9"),
    happened.ProtestWithdrawn(protest="t9"),
    happened.ProtestRuled(protest="t9", verdict="denied", reason="x"),
]


def test_nothing_is_known_before_the_first_event() -> None:
    assert fold(()) == INITIAL
    assert (INITIAL.version, INITIAL.phase, INITIAL.has_been_official) == (0, "unscheduled", False)
    assert (INITIAL.revision, INITIAL.posted_at, INITIAL.changed_at) == (0, 0, 0)


@pytest.mark.parametrize("event", FITS_NOTHING, ids=lambda event: type(event).__name__)
def test_an_event_that_fits_nothing_only_counts_a_version(event: ClassEvent) -> None:
    state = Scene().planned(1).state
    assert evolve(state, event) == skip(state)


def test_an_event_that_is_struck_out_passes_its_version() -> None:
    scene = ridden(e1=3)
    struck = [e for e in scene.log if isinstance(e, happened.MarkGiven) and e.maneuver == 1]
    state = INITIAL
    for event in scene.log:
        state = skip(state) if event in struck else evolve(state, event)
    assert state.version == scene.state.version
    assert set(state.cards["A"].rides["e1"].marks) == {2}
    kept = scene.state.cards["A"].rides["e1"].marks[2]
    assert state.cards["A"].rides["e1"].marks[2] == kept


def test_a_correction_of_an_unknown_seat_is_remembered_and_moves_nothing() -> None:
    state = Scene().planned(1).state
    event = happened.CorrectionMade(
        correction="c1", seat="Z", entry="e1", authority="judge", reason="x", fact=MARK
    )
    after = evolve(state, event)
    assert after.cards == state.cards
    assert after.corrections["c1"].version == after.version


def test_a_fold_goes_on_from_any_state() -> None:
    scene = ridden(e1=3, e2=1)
    for cut in range(len(scene.log) + 1):
        assert fold(scene.log[cut:], fold(scene.log[:cut])) == scene.state


def test_marks_move_the_class_and_setting_it_up_does_not() -> None:
    scene = Scene().planned(1)
    assert (scene.state.changed_at, scene.state.phase) == (0, "planned")
    scene.given(mark("A", "e1", 1, 0))
    assert (scene.state.changed_at, scene.state.phase) == (len(scene.log), "running")


def test_what_is_posted_and_official_is_known_by_its_version() -> None:
    scene = ridden(e1=0).official()
    assert (scene.state.posted_at, scene.state.official_at) == (len(scene.log) - 1, len(scene.log))
    assert scene.state.has_been_official


def test_a_correction_is_a_fact_with_a_version_of_its_own() -> None:
    scene = ridden(e1=0).signed()
    first = scene.state.cards["A"].rides["e1"].marks[1].version
    made = scene.version_of(correction("c1", mark("A", "e1", 1, 2), replaces=first))
    assert scene.state.cards["A"].rides["e1"].marks[1].version == made
