"""Classes that are judged by placing alone or by the clock."""

import msgspec
import pytest

from events.envelope import Command
from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.rulebook.model import RuleBook
from tests.core.books import PLACED, SMALL, TIMED
from tests.core.judged_class.scene import (
    STEWARD,
    Scene,
    accept,
    correction,
    entry,
    mark,
    order,
    outcome,
    penalty,
    rider,
    scribe,
)


def time(name: str, milliseconds: int, penalty: int = 0) -> ask.GiveTime:
    return ask.GiveTime(
        seat="A", ref=entry(name), milliseconds=milliseconds, penalty_milliseconds=penalty
    )


def placed(names: str, reason: str | None = None) -> ask.PlaceCard:
    return ask.PlaceCard(seat="A", order=tuple(map(entry, names.split())), reason=reason)


def called_back(names: str, seat: str = "A") -> ask.CallBack:
    return ask.CallBack(seat=seat, entries=tuple(map(entry, names.split())))


# --- by the clock -------------------------------------------------------------------------------


def test_the_least_time_with_its_penalties_wins() -> None:
    scene = Scene(TIMED).planned(3).given(time("e1", 14_200), time("e2", 13_900, penalty=5_000))
    assert scene.log[-1] == happened.TimeGiven(
        seat="A", entry="e2", milliseconds=13_900, penalty_milliseconds=5_000
    )
    scene.given(time("e3", 15_000))
    assert scene.placed() == {"e1": "1", "e3": "2", "e2": "3"}


def test_a_time_has_no_penalty_unless_one_is_given() -> None:
    asked = ask.GiveTime(seat="A", ref=entry("e1"), milliseconds=14_200)
    assert Scene(TIMED).planned().when(asked) == (
        happened.TimeGiven(seat="A", entry="e1", milliseconds=14_200, penalty_milliseconds=0),
    )


def test_a_time_is_taken_again_before_signing() -> None:
    scene = Scene(TIMED).planned(1).given(time("e1", 14_200), time("e1", 14_100))
    assert [row.tied for row in scene.rows()] == [False]
    ride = scene.state.cards["A"].rides["e1"]
    assert ride.time is not None
    assert ride.time.event.milliseconds == 14_100


@pytest.mark.parametrize(
    ("asked", "code", "field"),
    [
        (time("e1", 0), "time_not_positive", "milliseconds"),
        (time("e1", -5), "time_not_positive", "milliseconds"),
        (time("e1", 5, penalty=-1), "penalty_time_negative", "penalty_milliseconds"),
    ],
)
def test_a_time_that_is_none_is_refused(asked: ask.GiveTime, code: str, field: str) -> None:
    Scene(TIMED).planned().refuses(asked, code, field)


def test_equal_times_share_the_place() -> None:
    scene = Scene(TIMED).planned(3).given(time("e1", 9), time("e2", 4, penalty=5), time("e3", 10))
    assert scene.placed() == {"e1": "1=", "e2": "1=", "e3": "3"}


def test_a_run_off_parts_equal_times_and_no_others() -> None:
    scene = Scene(TIMED).planned(3).given(time("e1", 9), time("e2", 9), time("e3", 10))
    by_run_off = ask.SetOrder(
        seat="A", order_id="r1", order=(entry("e2"), entry("e1")), by="run_off"
    )
    unequal = msgspec.structs.replace(by_run_off, order=(entry("e2"), entry("e3")))
    scene.refuses(unequal, "order_not_a_tie", "order")
    scene.given(by_run_off)
    assert scene.placed() == {"e2": "1", "e1": "2", "e3": "3"}


def test_a_card_without_a_time_is_not_signed() -> None:
    refused = Scene(TIMED).planned(1).refusal(ask.SignCard(seat="A"))
    assert refused.code == "card_incomplete"
    assert refused.message.endswith("the time.")


def test_an_outcome_takes_a_timed_ride_out() -> None:
    scene = Scene(TIMED).planned(2).given(time("e1", 9), outcome("A", "e2", "disqualified"))
    assert scene.signed().placed() == {"e1": "1", "e2": "-"}


def test_a_time_is_corrected_taken_away_and_added() -> None:
    scene = Scene(TIMED).planned(1)
    given = scene.version_of(time("e1", 9))
    scene.signed()
    scene.refuses(correction("c1", time("e1", 8)), "fact_in_the_way", "replaces")
    scene.refuses(correction("c1", time("e1", 9)), "correction_changes_nothing", "fact")
    made = scene.version_of(correction("c1", time("e1", 8), replaces=given))
    scene.given(correction("c2", replaces=made), correction("c3", time("e1", 7)))
    assert scene.rows()[0].place == 1


# --- by placing alone ---------------------------------------------------------------------------


def test_a_judge_places_and_whoever_is_left_out_takes_no_place() -> None:
    scene = Scene(PLACED).planned(3).given(placed("e3 e1"), by=scribe("A"))
    assert scene.log[-1] == happened.CardPlaced(seat="A", order=("e3", "e1"))
    assert scene.signed().placed() == {"e3": "1", "e1": "2", "e2": "-"}


def test_a_card_without_a_placing_is_not_signed() -> None:
    refused = Scene(PLACED).planned(1).refusal(ask.SignCard(seat="A"))
    assert refused.code == "card_incomplete"
    assert refused.message.endswith("the placing.")


def test_a_card_may_be_placed_again_before_signing() -> None:
    scene = Scene(PLACED).planned(2).given(placed("e1 e2"), placed("e2 e1"))
    assert scene.placed() == {"e2": "1", "e1": "2"}


def test_on_a_signed_card_the_steward_records_the_judges_new_placing_with_its_reason() -> None:
    scene = Scene(PLACED).planned(2).given(placed("e1 e2")).signed()
    scene.refuses(placed("e2 e1", "sha256:numbers"), "card_is_signed", "seat", by=scribe("A"))
    refused = scene.refusal(placed("e2 e1"), STEWARD)
    assert (refused.code, refused.field) == ("reason_missing", "reason")
    scene.given(placed("e2 e1", "sha256:numbers"), by=STEWARD)
    assert scene.placed() == {"e2": "1", "e1": "2"}


def test_whoever_is_taken_after_the_judge_placed_was_not_left_out() -> None:
    scene = Scene(PLACED).planned(2).given(placed("e1 e2")).signed().given(accept(3))
    refused = scene.refusal(ask.PostResults())
    assert refused.code == "card_incomplete"
    assert refused.facts["entry"] == "e3"


def test_a_disqualified_entry_that_was_placed_takes_no_place() -> None:
    scene = Scene(PLACED).planned(2).given(placed("e1 e2"), outcome("A", "e1", "disqualified"))
    assert scene.placed() == {"e2": "1", "e1": "-"}


@pytest.mark.parametrize(
    ("asked", "code", "field"),
    [
        (placed("e1 e1"), "order_names_twice", "order[1]"),
        (placed("e1 e9"), "unknown_entry", "order[1]"),
        (called_back("e1 e1"), "order_names_twice", "entries[1]"),
        (called_back("e1", seat="B"), "unknown_seat", "seat"),
    ],
)
def test_a_placing_names_entries_of_the_class_once_each(
    asked: ask.PlaceCard | ask.CallBack, code: str, field: str
) -> None:
    Scene(PLACED).planned(2).refuses(asked, code, field)


def test_a_judge_calls_entries_back_in_no_order() -> None:
    scene = Scene(PLACED).planned(3).given(called_back("e3 e1"))
    assert scene.log[-1] == happened.CardCalledBack(seat="A", entries=("e1", "e3"))
    assert scene.when(called_back("e1 e3")) == ()
    scene.given(called_back("e2"))


# --- what belongs on no such card ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("book", "asked", "what"),
    [
        (PLACED, mark("A", "e1", 1, 0), "marks"),
        (TIMED, mark("A", "e1", 1, 0), "marks"),
        (TIMED, rider("A", "e1", 0), "rider marks"),
        (PLACED, penalty("A", "e1", "p1", code="tick"), "penalty points"),
        (SMALL, time("e1", 9), "times"),
        (PLACED, time("e1", 9), "times"),
        (SMALL, placed("e1"), "placings"),
        (TIMED, placed("e1"), "placings"),
        (SMALL, called_back("e1"), "call-backs"),
    ],
)
def test_a_card_holds_what_its_class_is_judged_by(
    book: RuleBook, asked: Command, what: str
) -> None:
    refused = Scene(book).planned().refusal(asked)
    assert (refused.code, refused.field) == ("judged_otherwise", None)
    assert what in refused.message


def test_an_order_over_equal_times_rests_on_them_and_is_stale_once_one_moves() -> None:
    scene = Scene(TIMED).planned(2).given(time("e1", 9_000), time("e2", 8_500, penalty=500))
    ridden_off = order("A", "r1", "e2 e1", by="run_off")
    scene.given(ridden_off)
    last = scene.log[-1]
    assert isinstance(last, happened.OrderSet)
    assert last.basis == tuple(
        happened.BasisLine(entry=name, milliseconds=9_000) for name in ("e2", "e1")
    )
    assert scene.placed() == {"e2": "1", "e1": "2"}
    scene.given(time("e1", 9_100))
    scene.refuses(ask.SignCard(seat="A"), "order_stale", "seat")
    scene.given(ask.ConfirmOrder(seat="A", order_id="r1"), ask.SignCard(seat="A"))
