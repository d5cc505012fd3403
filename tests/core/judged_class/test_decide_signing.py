"""Signing a card and giving it back to its judge."""

import msgspec
import pytest

from events.judged_class import commands as ask
from events.judged_class import events as happened
from tests.core.books import NO_RIDER_MARK, PLACED
from tests.core.judged_class.scene import (
    SCHEDULE,
    STEWARD,
    Scene,
    accept,
    entry,
    mark,
    order,
    outcome,
    penalty,
    ridden,
    rider,
    scribe,
)

SIGN = ask.SignCard(seat="A")
REOPEN = ask.ReopenCard(seat="A", reason="sha256:forgot")


def test_a_complete_card_is_signed() -> None:
    scene = ridden(e1=2, e2=0).given(SIGN, by=scribe("A"))
    assert scene.log[-1] == happened.CardSigned(seat="A")
    assert scene.state.cards["A"].signed == len(scene.log)


def test_a_card_with_missing_marks_names_the_rider_and_what_is_missing() -> None:
    scene = Scene().planned(2, maneuvers=3).marked({"e1": 0})
    scene.given(mark("A", "e2", 2, 0))
    refused = scene.refusal(SIGN)
    assert (refused.code, refused.field) == ("card_incomplete", "seat")
    assert "seat A back number 87" in refused.message
    assert "maneuver 1, maneuver 3, the rider mark" in refused.message
    assert refused.facts["missing"] == ("1", "3", "rider_mark")
    assert (refused.facts["entry"], refused.facts["back_number"]) == ("e2", 87)


def test_an_off_pattern_ride_still_wants_its_marks() -> None:
    # Design: an entry with missing marks is incomplete, never zero by accident.
    scene = Scene().planned(1).given(outcome("A", "e1", "off_pattern"))
    scene.refuses(SIGN, "card_incomplete", "seat")


@pytest.mark.parametrize("called", [outcome("A", "e1", "disqualified"), outcome("A", "e1", "zero")])
def test_a_ride_whose_outcome_leaves_no_marks_wants_none(called: ask.CallOutcome) -> None:
    Scene().planned(1).given(called, SIGN)


def test_who_missed_the_gate_or_was_excused_wants_no_marks() -> None:
    scene = Scene().planned(2).given(ask.RecordMissedGate(ref=entry("e1")))
    scene.given(ask.ExcuseEntry(ref=entry("e2")), SIGN)


def test_a_scratched_entry_wants_no_marks() -> None:
    Scene().planned(2).marked({"e2": 0}).given(ask.ScratchEntry(ref=entry("e1")), SIGN)


def test_an_entry_that_was_not_drawn_keeps_the_card_open() -> None:
    ridden(e1=0).given(accept(2)).refuses(SIGN, "card_incomplete", "seat")


def test_there_is_nothing_to_sign_before_the_draw() -> None:
    scene = Scene().given(SCHEDULE, ask.SetPattern(maneuvers=("Walk",)))
    scene.given(ask.SeatJudge(seat="A", judge="judge-A"))
    scene.refuses(SIGN, "no_draw_yet", "seat")


def on_the_rail(kind: happened.RoundKind | None) -> Scene:
    """Two entries that are shown at once, before one judge who only places."""
    of = None if kind is None else happened.ClassRound(kind=kind)
    scene = Scene(PLACED).given(msgspec.structs.replace(SCHEDULE, round=of), accept(1), accept(2))
    return scene.given(ask.SeatJudge(seat="A", judge="judge-A"))


def test_a_card_that_places_is_signed_without_a_draw() -> None:
    # Common practice: on the rail everybody is shown at once, so there is no working order.
    scene = on_the_rail(None)
    scene.refuses(SIGN, "no_draw_yet", "seat")
    scene.given(ask.PlaceCard(seat="A", order=(entry("e2"), entry("e1"))), SIGN)
    assert scene.placed() == {"e2": "1", "e1": "2"}


def test_a_round_that_another_follows_is_signed_on_its_call_backs_alone() -> None:
    scene = on_the_rail("preliminary").given(ask.CallBack(seat="A", entries=(entry("e2"),)))
    scene.given(SIGN, ask.PostResults(), ask.MakeCut(size=1))
    assert scene.log[-1] == happened.CutMade(size=1, qualified=("e2",))


@pytest.mark.parametrize("kind", [None, "final"])
def test_call_backs_place_nobody_where_no_round_follows(kind: happened.RoundKind | None) -> None:
    scene = on_the_rail(kind).given(ask.CallBack(seat="A", entries=(entry("e2"),)))
    scene.refuses(SIGN, "card_incomplete", "seat")


def test_who_was_entered_after_the_call_backs_keeps_the_card_open() -> None:
    scene = on_the_rail("preliminary").given(ask.CallBack(seat="A", entries=(entry("e2"),)))
    scene.given(accept(3)).refuses(SIGN, "card_incomplete", "seat")


def test_there_is_nothing_to_sign_before_the_pattern_is_set() -> None:
    # A scale without a rider's mark leaves nothing else that could be missing.
    scene = Scene(NO_RIDER_MARK).given(SCHEDULE, accept(1))
    scene.given(ask.SeatJudge(seat="A", judge="judge-A"), ask.SetDraw(order=("e1",)))
    scene.refuses(SIGN, "no_pattern", "seat")
    assert scene.placed() == {"e1": "-"}


def test_an_unknown_seat_has_no_card_to_sign_or_give_back() -> None:
    scene = ridden(e1=0)
    scene.refuses(ask.SignCard(seat="B"), "unknown_seat", "seat")
    scene.refuses(ask.ReopenCard(seat="B", reason="sha256:x"), "unknown_seat", "seat")


def test_a_card_with_a_stale_order_is_not_signed() -> None:
    scene = ridden(e1=0, e2=0).given(order("A", "r1", "e2 e1"), mark("A", "e1", 1, 1))
    refused = scene.refusal(SIGN)
    assert (refused.code, refused.field) == ("order_stale", "seat")
    assert refused.facts["orders"] == ("r1",)


@pytest.mark.parametrize(
    "asked",
    [
        mark("A", "e1", 1, 1),
        penalty("A", "e1", "p1", code="tick"),
        ask.WithdrawPenalty(seat="A", ref=entry("e1"), call="p0"),
        rider("A", "e1", 1),
        outcome("A", "e1", "off_pattern"),
        ask.LiftOutcome(seat="A", ref=entry("e2")),
        order("A", "r1", "e1 e2"),
    ],
)
def test_a_signed_card_refuses_what_would_change_it(asked: ask.GiveMark) -> None:
    scene = ridden(e1=0, e2=0).given(penalty("A", "e1", "p0", code="tick"))
    scene.given(outcome("A", "e2", "off_pattern")).signed()
    scene.refuses(asked, "card_is_signed", "seat", by=scribe("A"))


def test_what_stands_on_a_signed_card_may_be_said_again() -> None:
    assert ridden(e1=3).signed().when(mark("A", "e1", 1, 3), by=scribe("A")) == ()


def test_a_signature_says_so_first_whatever_else_is_wrong() -> None:
    ridden(e1=3).signed().refuses(mark("A", "e1", 1, 99), "card_is_signed", "seat")


def test_a_signed_card_goes_back_to_its_judge_and_is_signed_again() -> None:
    scene = ridden(e1=0).signed().given(REOPEN, by=STEWARD)
    assert scene.log[-1] == happened.CardReopened(seat="A", reason="sha256:forgot")
    scene.given(mark("A", "e1", 1, 2), SIGN)
    assert scene.rows()[0].total == 142


def test_an_open_card_is_open_already() -> None:
    assert ridden(e1=0).when(REOPEN) == ()


def test_a_card_stays_signed_once_results_are_posted() -> None:
    ridden(e1=0).posted().refuses(REOPEN, "wrong_phase", None)
