"""What the cards come to: who runs, which outcome counts, how large the class is."""

import pytest

from events.envelope import Command
from events.judged_class import commands as ask
from events.judged_class.standing import class_size, divisions, running_entries
from events.rulebook.model import OutcomeKind
from tests.core.books import SMALL, small
from tests.core.books import outcome as outcome_rule
from tests.core.judged_class.scene import Scene, accept, entry, outcome, ridden

MISSED = ask.RecordMissedGate(ref=entry("e1"))
EXCUSED = ask.ExcuseEntry(ref=entry("e1"))


def size(scene: Scene) -> int:
    return class_size(scene.state, scene.book)


def test_entries_run_in_working_order_and_those_not_drawn_come_last() -> None:
    scene = Scene().planned(3).given(ask.SetDraw(order=("e3", "e1", "e2")), accept(4))
    scene.given(ask.ScratchEntry(ref=entry("e1")))
    assert [each.id for each in running_entries(scene.state)] == ["e3", "e2", "e4"]


@pytest.mark.parametrize(
    ("asked", "left"),
    [
        (ask.ScratchEntry(ref=entry("e1")), 2),
        (MISSED, 2),
        (EXCUSED, 3),
        (outcome("A", "e1", "disqualified"), 3),
        (outcome("A", "e1", "off_pattern"), 3),
        (outcome("A", "e1", "missed_gate"), 2),
    ],
)
def test_the_rule_book_says_who_counts_in_the_class_size(asked: Command, left: int) -> None:
    # Disqualified, but shown: counted; American rule SHW260, americashorse.tv.
    scene = Scene().planned(3).given(asked)
    assert size(scene) == left


def test_one_judges_call_does_not_shrink_the_class_for_the_others() -> None:
    scene = Scene().planned(2, seats="AB").given(outcome("A", "e1", "missed_gate"))
    assert size(scene) == 2
    scene.given(outcome("B", "e1", "missed_gate"))
    assert size(scene) == 1


def test_a_learners_call_shrinks_no_class() -> None:
    scene = Scene().planned(2, learners="L").given(outcome("L", "e1", "missed_gate"))
    assert size(scene) == 2


@pytest.mark.parametrize(("asked", "left"), [(MISSED, 1), (EXCUSED, 2)])
def test_without_a_judge_the_gate_alone_decides(asked: Command, left: int) -> None:
    assert size(Scene().planned(2, seats="").given(asked)) == left


def test_an_outcome_that_the_book_no_longer_knows_is_not_counted() -> None:
    scene = Scene().planned(2).given(outcome("A", "e1", "zero"))
    scene.book = small(outcomes=tuple(rule for rule in SMALL.outcomes if rule.kind != "zero"))
    assert size(scene) == 1


@pytest.mark.parametrize(
    ("called", "then", "counts"),
    [
        (None, MISSED, "missed_gate"),
        (None, EXCUSED, "excused"),
        ("off_pattern", EXCUSED, "excused"),
        ("zero", EXCUSED, "excused"),
        ("disqualified", EXCUSED, "disqualified"),
        ("off_pattern", None, "off_pattern"),
        (None, None, None),
    ],
)
def test_what_an_official_decides_counts_but_takes_no_disqualification_back(
    called: OutcomeKind | None, then: Command | None, counts: OutcomeKind | None
) -> None:
    scene = Scene().planned(1)
    if called is not None:
        scene.given(outcome("A", "e1", called))
    if then is not None:
        scene.given(then)
    assert scene.rows()[0].outcome == counts


def test_a_book_may_place_below_and_count_by_tiers_of_its_own() -> None:
    book = small(outcomes=(outcome_rule("off_pattern", "below", "zero", True, tier=4),))
    scene = ridden(book, e1=6, e2=-6).given(outcome("A", "e1", "off_pattern"))
    assert [(row.entry, row.place, row.total) for row in scene.rows()] == [
        ("e2", 1, 134),
        ("e1", 2, 0),
    ]


def test_entries_are_told_apart_by_division() -> None:
    scene = Scene().planned(1)
    scene.given(
        ask.AcceptEntry(entry="y1", back_number=11, exhibitor="p11", divisions=("youth",)),
        ask.AcceptEntry(entry="y2", back_number=12, exhibitor="p12", divisions=("youth", "novice")),
    )
    assert divisions(scene.state) == {"novice": {"y2"}, "youth": {"y1", "y2"}}
    scene.given(ask.ScratchEntry(ref=entry("y2")))
    assert divisions(scene.state) == {"youth": {"y1"}}
    assert class_size(scene.state, scene.book, {"y1", "e1"}) == 2
