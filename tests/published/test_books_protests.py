"""What may be protested under the shipped rule books, against what was read."""

import pytest

from service.books import shipped

# A law firm's summary of protest rules (secondary): the application of a rule, arithmetic,
# eligibility, equipment and conduct are protested.
PROTESTABLE = {"rule-application", "arithmetic", "eligibility", "equipment", "conduct"}
# The same summary, and Baker County 4-H 2019, p. 34: a judge's decision is final.
NOT_PROTESTABLE = {"judges-opinion"}


@pytest.mark.parametrize("book", sorted(shipped()))
def test_rules_may_be_protested_and_a_judges_opinion_may_not(book: str) -> None:
    rules = shipped()[book].protests
    assert rules is not None
    assert {ground.code for ground in rules.grounds if ground.protestable} == PROTESTABLE
    assert {ground.code for ground in rules.grounds if not ground.protestable} == NOT_PROTESTABLE


@pytest.mark.parametrize("book", sorted(shipped()))
def test_protests_are_taken_in_for_half_an_hour_after_posting(book: str) -> None:
    # Common practice; published deadlines run from 30 minutes (walking horse, after the show) to
    # 30 days (barrel racing), so a show sets its own.
    rules = shipped()[book].protests
    assert rules is not None
    assert rules.minutes == 30
    assert rules.fee is None
