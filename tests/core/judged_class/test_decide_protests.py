"""Protests: taken in by the rule book, withdrawn, ruled on."""

import msgspec
import pytest

from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.judged_class.commands import EntryRef
from events.rulebook.model import RuleBook
from tests.core.books import NO_PROTESTS, SMALL, small
from tests.core.judged_class.scene import STEWARD, entry, ridden

FILE = ask.FileProtest(
    protest="t1",
    filed_by="p1",
    ground="sums",
    statement="sha256:wrong",
    ref=EntryRef(back_number=214),
    seat="A",
    versions=(1, 3),
    fee_paid=True,
)
WITHDRAW = ask.WithdrawProtest(protest="t1")
UPHOLD = ask.RuleProtest(protest="t1", verdict="upheld", reason="sha256:added-wrongly")
DENY = ask.RuleProtest(protest="t1", verdict="denied", reason="sha256:added-rightly")


def changed(**changes: object) -> ask.FileProtest:
    return msgspec.structs.replace(FILE, **changes)


def rules(**changes: object) -> RuleBook:
    assert SMALL.protests is not None
    return small(protests=msgspec.structs.replace(SMALL.protests, **changes))


def test_a_protest_is_against_an_entry_a_seat_and_certain_events() -> None:
    assert ridden(e1=0).posted().when(FILE) == (
        happened.ProtestFiled(
            protest="t1",
            filed_by="p1",
            ground="sums",
            statement="sha256:wrong",
            entry="e1",
            seat="A",
            versions=(1, 3),
            fee_paid=True,
        ),
    )


def test_a_protest_may_be_against_the_class_as_a_whole() -> None:
    ridden(e1=0).posted().given(changed(ref=None, seat=None, versions=()), by=STEWARD)


@pytest.mark.parametrize(
    ("asked", "code", "field"),
    [
        (changed(ref=entry("e9")), "unknown_entry", "entry"),
        (changed(seat="B"), "unknown_seat", "seat"),
        (changed(versions=(1, 99)), "unknown_version", "versions[1]"),
        (changed(versions=(0,)), "unknown_version", "versions[0]"),
        (changed(ground="weather"), "unknown_ground", "ground"),
        (changed(fee_paid=False), "protest_fee_unpaid", "fee_paid"),
    ],
)
def test_a_protest_that_is_not_in_order_is_refused(
    asked: ask.FileProtest, code: str, field: str
) -> None:
    ridden(e1=0).posted().refuses(asked, code, field)


def test_a_judges_opinion_is_not_protested() -> None:
    refused = ridden(e1=0).posted().refusal(changed(ground="opinion"))
    assert (refused.code, refused.field) == ("ground_not_protestable", "ground")
    assert refused.rule == "small 1, protests, opinion (made for the tests)"
    assert "A judge's opinion" in refused.message


def test_an_unknown_ground_is_answered_with_those_there_are() -> None:
    refused = ridden(e1=0).posted().refusal(changed(ground="weather"))
    assert "sums, opinion" in refused.message


def test_a_book_without_protests_sends_people_to_the_steward() -> None:
    refused = ridden(NO_PROTESTS, e1=0).posted().refusal(FILE)
    assert (refused.code, refused.field) == ("no_protest_rules", "ground")


def test_a_protest_is_in_time_until_its_last_minute() -> None:
    ridden(e1=0).posted().later(minutes=30).given(FILE)


def test_a_late_protest_is_refused_with_the_rule() -> None:
    scene = ridden(e1=0).posted().later(minutes=30, seconds=1)
    refused = scene.refusal(FILE)
    assert (refused.code, refused.field) == ("protest_late", None)
    assert "2026-06-06 12:30 UTC" in refused.message
    assert refused.facts["until"] == "2026-06-06T12:30:00+00:00"
    assert refused.rule == "small 1, protests, minutes (made for the tests)"


def test_a_book_without_a_deadline_takes_protests_at_any_time() -> None:
    ridden(rules(minutes=None), e1=0).posted().later(days=30).given(FILE)


def test_before_a_posting_no_deadline_runs() -> None:
    ridden(e1=0).later(days=1).given(FILE)


def test_the_fee_is_named_as_the_book_words_it() -> None:
    refused = ridden(e1=0).posted().refusal(changed(fee_paid=False))
    assert "50 dollars" in refused.message
    ridden(rules(fee=None), e1=0).posted().given(changed(fee_paid=False))


def test_a_protest_id_belongs_to_one_protest() -> None:
    scene = ridden(e1=0).posted().given(FILE)
    scene.refuses(changed(ground="opinion"), "protest_id_taken", "protest")


def test_a_protest_that_was_filed_is_so_already_when_its_time_is_over() -> None:
    scene = ridden(e1=0).posted().given(FILE).later(days=1)
    assert scene.when(FILE) == ()


def test_a_protest_is_filed_against_official_results_too() -> None:
    ridden(e1=0).official().given(FILE)


def test_a_protest_is_withdrawn_while_it_waits() -> None:
    scene = ridden(e1=0).posted().given(FILE, WITHDRAW)
    assert scene.log[-1] == happened.ProtestWithdrawn(protest="t1")
    assert not scene.state.protests["t1"].is_open


@pytest.mark.parametrize("asked", [UPHOLD, DENY])
def test_a_protest_is_ruled_on_once(asked: ask.RuleProtest) -> None:
    scene = ridden(e1=0).posted().given(FILE).given(asked, by=STEWARD)
    assert not scene.state.protests["t1"].is_open
    other = DENY if asked == UPHOLD else UPHOLD
    scene.refuses(other, "protest_settled", "protest", by=STEWARD)
    scene.refuses(WITHDRAW, "protest_settled", "protest")


def test_a_withdrawn_protest_is_not_ruled_on() -> None:
    scene = ridden(e1=0).posted().given(FILE, WITHDRAW)
    scene.refuses(UPHOLD, "protest_settled", "protest", by=STEWARD)


@pytest.mark.parametrize("asked", [WITHDRAW, UPHOLD])
def test_only_a_protest_that_was_filed_is_settled(
    asked: ask.WithdrawProtest | ask.RuleProtest,
) -> None:
    ridden(e1=0).posted().refuses(asked, "unknown_protest", "protest", by=STEWARD)


@pytest.mark.parametrize(
    ("book", "paid", "ruling", "returned"),
    [
        (rules(), True, UPHOLD, True),
        (rules(), True, DENY, False),
        (rules(fee_returned=False), True, UPHOLD, False),
        (rules(fee=None), False, UPHOLD, False),
    ],
)
def test_the_fee_goes_back_as_the_book_says(
    book: RuleBook, paid: bool, ruling: ask.RuleProtest, returned: bool
) -> None:
    scene = ridden(book, e1=0).posted().given(changed(fee_paid=paid)).given(ruling, by=STEWARD)
    ruled = scene.log[-1]
    assert isinstance(ruled, happened.ProtestRuled)
    assert ruled.fee_returned is returned
