"""A learner's card beside the official one."""

import pytest

from events.judged_class import commands as ask
from events.projections.learners import LearnerReport, learner_report
from events.refusals import Refusal
from events.scoring.cuts import ContestRule
from tests.core.judged_class.scene import Scene, accept, entry, mark, observe, penalty, rider

SEAT_LEARNER = ask.SeatJudge(seat="L", judge="p-learner", kind="learner")


def class_of_four(*, cuts: tuple[int, ...] = (2, 8, 2), tie: bool = False) -> Scene:
    """Official 4, 3, 2, 1; the learner turns the last two round and misses a penalty."""
    scene = Scene().planned(4).given(SEAT_LEARNER)
    count = len(scene.state.pattern.maneuvers) if scene.state.pattern else 0
    for seat, order in (("A", (1, 2, 3, 4)), ("L", (2, 1, 3, 4))):
        for place, number in enumerate(order):
            points = 0 if tie and seat == "A" and place < 2 else place
            scene.given(*(mark(seat, f"e{number}", m, 0) for m in range(2, count + 1)))
            scene.given(mark(seat, f"e{number}", 1, points), rider(seat, f"e{number}", 0))
    scene.given(
        penalty("A", "e4", "c1", points=6, maneuver=1),
        penalty("A", "e4", "c2", points=6, maneuver=1),
        penalty("L", "e4", "c3", points=6, maneuver=1),
        penalty("L", "e4", "c4", points=6),
        observe("A", "e1", "o1"),
        observe("L", "e1", "o2"),
    )
    if cuts:
        scene.given(ask.SetContestCuts(cuts=cuts))
    return scene


def official(scene: Scene) -> Scene:
    return scene.given(
        ask.SignCard(seat="A"), ask.PostResults(), ask.MakeOfficial(reason="sha256:seen")
    )


def report(scene: Scene, rule: ContestRule | None = None) -> LearnerReport:
    return learner_report(scene.state, scene.book, "L", "A", rule)


def test_marks_and_totals_stand_beside_the_official_ones() -> None:
    told = report(official(class_of_four()))
    first = {pair.entry: pair for pair in told.marks if pair.maneuver == 1}
    assert (first["e1"].official, first["e1"].learner, first["e1"].difference) == (0, 1, 1)
    totals = {pair.entry: pair for pair in told.standings}
    assert totals["e1"].official_total != totals["e1"].learner_total
    assert told.learner == "p-learner"


def test_a_mark_that_one_of_them_did_not_give_has_no_difference() -> None:
    scene = Scene().planned(1).given(SEAT_LEARNER)
    count = len(scene.state.pattern.maneuvers) if scene.state.pattern else 0
    scene.given(*(mark("A", "e1", m, 0) for m in range(1, count + 1)), rider("A", "e1", 0))
    told = report(official(scene))
    assert {pair.difference for pair in told.marks} == {None}
    assert told.contest is None


def test_what_was_missed_and_what_was_seen_but_not_called_is_named() -> None:
    told = report(official(class_of_four()))
    calls = [(each.maneuver, each.seen) for each in told.seen if each.kind == "penalty"]
    assert calls == [(1, "both"), (1, "missed"), (None, "not_called")]
    assert [each.seen for each in told.seen if each.kind == "fault"] == ["both"]


def test_a_class_with_cuts_gives_the_contest_score() -> None:
    scored = report(official(class_of_four())).contest
    assert scored is not None
    assert scored.score == 50 - scored.lost


@pytest.mark.parametrize("cuts", [(), (1, 2)])
def test_without_fitting_cuts_there_is_no_contest_score(cuts: tuple[int, ...]) -> None:
    assert report(official(class_of_four(cuts=cuts))).contest is None


def test_a_tied_official_placing_cannot_be_scored_by_cuts() -> None:
    assert report(official(class_of_four(tie=True))).contest is None


def test_a_placing_that_leaves_somebody_out_scores_nothing() -> None:
    scene = class_of_four().given(accept(5), ask.ScratchEntry(ref=entry("e5")))
    scene.given(
        ask.CallOutcome(seat="L", ref=entry("e2"), kind="disqualified"),
    )
    scored = report(official(scene)).contest
    assert scored is not None
    assert (scored.score, scored.finished) == (0, False)


@pytest.mark.parametrize(
    ("seats", "code", "field"),
    [(("A", "A"), "not_a_learner", "seat"), (("L", "L"), "not_a_judge", "against")],
)
def test_a_learner_is_laid_beside_a_judge(seats: tuple[str, str], code: str, field: str) -> None:
    scene = official(class_of_four())
    with pytest.raises(Refusal) as refused:
        learner_report(scene.state, scene.book, *seats)
    assert (refused.value.code, refused.value.field) == (code, field)


def test_a_learner_sees_no_judges_card_before_results_are_official() -> None:
    scene = class_of_four()
    with pytest.raises(Refusal) as refused:
        report(scene)
    assert refused.value.code == "not_official_yet"
