"""Posting results, making them official, opening them again."""

from datetime import timedelta

import msgspec
import pytest

from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.rulebook.model import ProtestRule, RuleBook
from tests.core.books import NO_PROTESTS, SMALL, small
from tests.core.judged_class.scene import (
    NOON,
    STEWARD,
    Scene,
    accept,
    correction,
    entry,
    mark,
    observe,
    order,
    ridden,
)

POST = ask.PostResults()
OFFICIAL = ask.MakeOfficial(reason="sha256:seen")
REOPEN = ask.ReopenResults(authority="office_error", reason="sha256:sums")


def test_results_are_posted_with_the_time_for_protests() -> None:
    scene = ridden(e1=2).signed()
    assert scene.when(POST) == (
        happened.ResultsPosted(revision=1, protests_until=NOON + timedelta(minutes=30)),
    )


def test_a_book_without_protests_sets_no_time_for_them() -> None:
    assert ridden(NO_PROTESTS, e1=2).signed().when(POST) == (happened.ResultsPosted(revision=1),)


def test_every_judge_has_signed_before_results_are_posted() -> None:
    scene = Scene().planned(1, seats="ABC").marked({"e1": 0}).signed()
    refused = scene.refusal(POST)
    assert (refused.code, refused.field) == ("cards_not_signed", None)
    assert refused.facts["seats"] == ("B", "C")
    assert "seat B, C" in refused.message


def test_a_learners_card_is_not_waited_for() -> None:
    Scene().planned(1, learners="L").marked({"e1": 0}).signed().given(POST)


def test_without_a_judge_there_is_nothing_to_post() -> None:
    scene = Scene().planned(1, seats="", learners="L").marked({"e1": 0}, "L").signed("L")
    scene.given(ask.SeatJudge(seat="A", judge="judge-A"), mark("A", "e1", 1, 0))
    scene.refuses(POST, "cards_not_signed", None)
    nobody = Scene().planned(1, seats="")
    nobody.refuses(POST, "wrong_phase", None)


def test_an_entry_taken_after_the_signature_holds_the_posting_back() -> None:
    scene = ridden(e1=2).signed().given(accept(2))
    scene.given(ask.RepairDraw(order=("e1", "e2"), reason="sha256:late"))
    refused = scene.refusal(POST)
    assert (refused.code, refused.field) == ("card_incomplete", None)
    assert refused.facts["entry"] == "e2"
    scene.given(ask.ReopenCard(seat="A", reason="sha256:late")).marked({"e2": 3}).signed()
    scene.given(POST)
    assert scene.placed() == {"e2": "1", "e1": "2"}


def test_results_are_posted_once_until_something_changes() -> None:
    scene = ridden(e1=2).posted()
    assert scene.when(POST) == ()
    scene.given(correction("c1", observe("A", "e1", "o1")), POST)
    assert scene.state.revision == 2


def test_each_posting_gives_new_time_for_protests() -> None:
    scene = ridden(e1=2).posted().later(hours=5)
    scene.given(correction("c1", observe("A", "e1", "o1")), POST)
    assert scene.state.protests_until == NOON + timedelta(hours=5, minutes=30)


def test_results_become_official() -> None:
    scene = ridden(e1=2).posted().later(minutes=30)
    assert scene.when(OFFICIAL, STEWARD) == (happened.ResultsMadeOfficial(revision=1),)
    assert scene.given(OFFICIAL).state.phase == "official"


def early(who: str) -> RuleBook:
    """The small book, by which they need not wait until the time for protests is over."""
    assert SMALL.protests is not None
    protests = {**msgspec.to_builtins(SMALL.protests), "early": who}
    return small(protests=msgspec.convert(protests, ProtestRule))


def test_while_protests_are_taken_in_it_takes_a_reason_to_make_results_official() -> None:
    scene = ridden(e1=2).posted().later(minutes=29, seconds=59)
    refused = scene.refusal(ask.MakeOfficial())
    assert (refused.code, refused.field) == ("protests_not_over", "reason")
    assert refused.rule == "small 1, protests, early"
    assert refused.facts["until"] == "2026-06-06T12:30:00+00:00"
    assert "until 2026-06-06 12:30 UTC" in refused.message
    assert scene.when(OFFICIAL) == (happened.ResultsMadeOfficial(revision=1, reason="sha256:seen"),)
    assert scene.later(seconds=1).when(ask.MakeOfficial()) == (
        happened.ResultsMadeOfficial(revision=1),
    )


def test_the_rule_book_says_who_need_not_wait_until_protests_are_over() -> None:
    nobody = ridden(early("nobody"), e1=2).posted()
    nobody.refuses(OFFICIAL, "protests_not_over", None, by=STEWARD)
    assert nobody.later(minutes=30).when(ask.MakeOfficial()) != ()
    steward = ridden(early("steward"), e1=2).posted()
    steward.refuses(OFFICIAL, "protests_not_over", None)
    steward.given(OFFICIAL, by=STEWARD)


def test_a_time_for_protests_whose_rule_is_gone_is_still_waited_for() -> None:
    scene = ridden(e1=2).posted()
    scene.book = NO_PROTESTS
    scene.refuses(ask.MakeOfficial(), "protests_not_over", "reason")


def test_nothing_becomes_official_before_it_is_posted() -> None:
    ridden(e1=2).signed().refuses(OFFICIAL, "wrong_phase", None)


def test_what_becomes_official_is_what_was_posted() -> None:
    scene = ridden(e1=2).posted().given(correction("c1", observe("A", "e1", "o1")))
    refused = scene.refusal(OFFICIAL)
    assert (refused.code, refused.field) == ("posting_out_of_date", None)
    assert refused.facts["revision"] == 1


def test_a_stale_order_holds_official_results_back() -> None:
    scene = ridden(e1=0, e2=0).given(order("A", "r1", "e2 e1")).posted()
    first = scene.state.cards["A"].rides["e1"].marks[1].version
    scene.given(correction("c1", mark("A", "e1", 1, 1), replaces=first), POST)
    refused = scene.refusal(OFFICIAL)
    assert refused.code == "order_stale"
    assert refused.facts["orders"] == ("r1",)
    scene.given(ask.ConfirmOrder(seat="A", order_id="r1"), POST, OFFICIAL)


def test_a_learners_stale_order_holds_nothing_back() -> None:
    scene = Scene().planned(2, learners="L").marked({"e1": 0, "e2": 0})
    scene.marked({"e1": 0, "e2": 0}, "L").given(order("L", "r1", "e2 e1"), mark("L", "e1", 1, 1))
    scene.signed().given(POST, OFFICIAL)


@pytest.mark.parametrize("verdict", ["upheld", "denied", "withdrawn"])
def test_an_open_protest_holds_official_results_back(verdict: str) -> None:
    scene = ridden(e1=0).posted()
    scene.given(
        ask.FileProtest(
            protest="t1", filed_by="p1", ground="sums", statement="sha256:x", fee_paid=True
        )
    )
    refused = scene.refusal(OFFICIAL)
    assert (refused.code, refused.field) == ("protest_open", None)
    assert refused.facts["protests"] == ("t1",)
    settled: dict[str, ask.RuleProtest | ask.WithdrawProtest] = {
        "upheld": ask.RuleProtest(protest="t1", verdict="upheld", reason="sha256:y"),
        "denied": ask.RuleProtest(protest="t1", verdict="denied", reason="sha256:y"),
        "withdrawn": ask.WithdrawProtest(protest="t1"),
    }
    scene.given(settled[verdict], by=STEWARD).given(OFFICIAL)


def test_official_results_are_not_posted_again() -> None:
    ridden(e1=0).official().refuses(POST, "wrong_phase", None)


def test_official_results_are_opened_again() -> None:
    scene = ridden(e1=2).official()
    assert scene.when(REOPEN) == (
        happened.ResultsReopened(authority="office_error", reason="sha256:sums"),
    )
    assert scene.given(REOPEN).state.phase == "reopened"


def test_reopened_results_become_official_again_as_a_new_revision() -> None:
    scene = ridden(e1=2, e2=0).official().given(REOPEN)
    replaced = scene.state.cards["A"].rides["e2"].marks[1].version
    fact = mark("A", "e2", 1, 6)
    scene.given(correction("c1", fact, replaces=replaced, authority="office_error"))
    scene.refuses(OFFICIAL, "wrong_phase", None)
    scene.given(POST, OFFICIAL)
    assert scene.log[-1] == happened.ResultsMadeOfficial(revision=2, reason="sha256:seen")
    assert scene.placed() == {"e2": "1", "e1": "2"}


def test_reopened_results_may_be_posted_unchanged() -> None:
    ridden(e1=2).official().given(REOPEN, POST, OFFICIAL)


def test_results_that_are_not_official_are_not_opened_again() -> None:
    ridden(e1=2).posted().refuses(REOPEN, "wrong_phase", None)


def test_a_class_whose_every_entry_stayed_away_has_nothing_to_post() -> None:
    scene = Scene().planned(1).given(ask.RecordMissedGate(ref=entry("e1"))).signed()
    scene.given(POST, OFFICIAL)
    assert scene.placed() == {"e1": "-"}
