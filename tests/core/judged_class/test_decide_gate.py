"""Calls to the gate, entries that miss it, entries that are excused."""

import pytest

from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.rulebook.model import DrawRule
from tests.core.books import SMALL, SOURCE, small
from tests.core.judged_class.scene import STEWARD, Scene, entry, mark, outcome, ridden

MISSED = ask.RecordMissedGate(ref=entry("e1"))
EXCUSED = ask.ExcuseEntry(ref=entry("e1"), reason="sha256:unsound")
SCRATCHED = ask.ScratchEntry(ref=entry("e1"))


def call(number: int) -> ask.CallEntry:
    return ask.CallEntry(ref=entry("e1"), call=number)


def test_calls_go_up_to_the_third() -> None:
    scene = Scene().planned().given(call(1), call(2), call(3), by=STEWARD)
    assert scene.log[-1] == happened.EntryCalled(entry="e1", call=3)
    assert scene.state.entries["e1"].calls == 3


@pytest.mark.parametrize(("said", "last"), [(2, 2), (4, 4), (None, 3)])
def test_the_rule_book_says_how_many_calls_there_are(said: int | None, last: int) -> None:
    # Three gate calls: South Plains, 2015 (abcdocz 995603).
    book = small(draw=DrawRule(source=SOURCE, gate_calls=said))
    scene = Scene(book).planned().given(*(call(number + 1) for number in range(last)))
    refused = scene.refusal(call(last + 1))
    assert (refused.code, refused.rule) == ("call_out_of_turn", "small 1, draw")
    assert f"{last} of {last}" in refused.message


def test_a_call_that_was_made_is_so_already() -> None:
    scene = Scene().planned().given(call(1), call(2))
    assert scene.when(call(1)) == ()


@pytest.mark.parametrize(("made", "next_call"), [(0, 2), (0, 0), (1, -1), (1, 3), (3, 4)])
def test_a_call_out_of_turn_is_refused(made: int, next_call: int) -> None:
    scene = Scene().planned().given(*(call(number + 1) for number in range(made)))
    refused = scene.refusal(call(next_call))
    assert (refused.code, refused.field) == ("call_out_of_turn", "call")
    assert refused.facts["calls"] == made


def test_an_entry_misses_the_gate() -> None:
    scene = Scene().planned().given(MISSED)
    assert scene.log[-1] == happened.EntryMissedGate(entry="e1")


def test_an_entry_that_was_judged_did_not_miss_the_gate() -> None:
    scene = Scene().planned().given(mark("A", "e1", 1, 0))
    scene.refuses(MISSED, "entry_judged", "entry")


def test_a_learners_mark_does_not_say_that_an_entry_came() -> None:
    scene = Scene().planned(learners="L").given(mark("L", "e1", 1, 0), MISSED)
    assert scene.state.entries["e1"].gate is not None


@pytest.mark.parametrize(("asked", "kind"), [(MISSED, "missed_gate"), (EXCUSED, "excused")])
def test_the_rule_book_must_say_what_becomes_of_it(
    asked: ask.RecordMissedGate | ask.ExcuseEntry, kind: str
) -> None:
    book = small(outcomes=tuple(rule for rule in SMALL.outcomes if rule.kind != kind))
    refused = Scene(book).planned().refusal(asked)
    assert refused.code == "outcome_not_in_rule_book"
    assert refused.rule == "small 1, outcomes"


def test_an_entry_is_excused_in_the_middle_of_its_ride() -> None:
    scene = Scene().planned().given(mark("A", "e1", 1, 0), EXCUSED)
    assert scene.log[-1] == happened.EntryExcused(entry="e1", reason="sha256:unsound")


def test_an_entry_on_a_signed_card_is_excused_by_correction_only() -> None:
    # Design: after signing, a fact changes only by a correction.
    scene = Scene().planned(1).marked({"e1": 2}).signed()
    refused = scene.refusal(EXCUSED, STEWARD)
    assert (refused.code, refused.field) == ("entry_on_signed_card", "entry")
    assert refused.facts["seats"] == ("A",)


def test_a_learners_signature_does_not_keep_an_entry_from_being_excused() -> None:
    scene = Scene().planned(1, learners="L").marked({"e1": 2}, "L").signed("L").given(EXCUSED)
    assert scene.state.entries["e1"].gate is not None


@pytest.mark.parametrize(
    ("first", "then"), [(MISSED, EXCUSED), (EXCUSED, MISSED), (MISSED, call(1)), (EXCUSED, call(1))]
)
def test_who_left_at_the_gate_has_left(
    first: ask.ExcuseEntry, then: ask.ExcuseEntry | ask.CallEntry
) -> None:
    Scene().planned().given(first).refuses(then, "entry_left", "entry")


@pytest.mark.parametrize("then", [call(1), MISSED, EXCUSED, mark("A", "e1", 1, 0)])
def test_a_scratched_entry_is_past_the_gate_for_good(then: ask.CallEntry) -> None:
    Scene().planned().given(SCRATCHED).refuses(then, "entry_scratched", "entry")


@pytest.mark.parametrize("left", [MISSED, EXCUSED])
def test_nothing_is_written_on_the_card_of_an_entry_that_left(left: ask.ExcuseEntry) -> None:
    scene = Scene().planned().given(left)
    scene.refuses(mark("A", "e1", 1, 0), "entry_left", "entry")


def test_excusing_a_ride_that_went_off_pattern_leaves_it_without_a_place() -> None:
    scene = Scene().planned(2).marked({"e1": 6, "e2": 0})
    scene.given(outcome("A", "e1", "off_pattern"))
    assert scene.placed() == {"e2": "1", "e1": "2"}
    scene.given(EXCUSED)
    assert scene.placed() == {"e2": "1", "e1": "-"}


def test_excusing_does_not_take_a_disqualification_back() -> None:
    scene = Scene().planned(1).given(outcome("A", "e1", "disqualified"), EXCUSED)
    (row,) = scene.rows()
    assert row.outcome == "disqualified"


@pytest.mark.parametrize("asked", [MISSED, EXCUSED, call(1)])
def test_the_gate_is_closed_once_results_are_posted(asked: ask.ExcuseEntry) -> None:
    Scene().planned(1).marked({"e1": 0}).posted().refuses(asked, "wrong_phase", None)


# --- out of order, riding again, another horse --------------------------------------------------


def test_riding_out_of_order_is_recorded_and_judged_by_the_judge() -> None:
    scene = ridden(e1=2, e2=0).given(ask.RecordOutOfOrder(ref=entry("e1")))
    assert scene.log[-1] == happened.EntryOutOfOrder(entry="e1")
    assert scene.placed() == {"e1": "1", "e2": "2"}


def test_an_entry_rides_again_and_its_first_ride_no_longer_counts() -> None:
    again = ask.GrantReride(ref=entry("e1"), reason="sha256:gate-blew-open")
    scene = Scene().planned(2, seats="AB", learners="L")
    for seat in "ABL":
        scene.marked({"e1": 2, "e2": 0}, seat)
    scene.given(again, by=STEWARD)
    assert scene.log[-1] == happened.RerideGranted(entry="e1", reason="sha256:gate-blew-open")
    assert all(set(card.rides) == {"e2"} for card in scene.state.cards.values())
    scene.refuses(ask.SignCard(seat="A"), "card_incomplete", "seat")


def test_an_entry_that_has_not_ridden_rides_for_the_first_time_anyway() -> None:
    assert Scene().planned().when(ask.GrantReride(ref=entry("e1"), reason="sha256:x")) == ()


def test_an_entry_rides_again_only_while_every_judges_card_is_open() -> None:
    scene = Scene().planned(1, seats="AB", learners="L").marked({"e1": 0}).marked({"e1": 0}, "L")
    scene.signed("L")
    again = ask.GrantReride(ref=entry("e1"), reason="sha256:x")
    assert scene.when(again) != ()
    refused = scene.signed("A").refusal(again)
    assert (refused.code, refused.field) == ("card_is_signed", None)
    assert refused.facts["seats"] == ("A",)


def test_another_horse_is_ridden_before_the_ride_is_judged() -> None:
    asked = ask.ChangeHorse(ref=entry("e1"), horse="h2", reason="sha256:lame")
    scene = Scene().planned().given(asked)
    assert scene.log[-1] == happened.HorseChanged(entry="e1", horse="h2", reason="sha256:lame")
    assert scene.state.entries["e1"].horse == "h2"
    scene.given(mark("A", "e1", 1, 0))
    scene.refuses(ask.ChangeHorse(ref=entry("e1"), horse="h3"), "entry_judged", "entry")
