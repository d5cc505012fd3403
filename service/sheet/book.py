"""The rule book as a sheet uses it: its cards say whether the class is scored, placed or timed."""

import msgspec

from events.rulebook.model import NO_MARKS, Judging, OutcomeRule, RuleBook

_NO_TIME = OutcomeRule(
    kind="no_time",
    placing="unplaced",
    total="none",
    in_class_size=True,
    wording="No time",
    source="common practice",
)


def judged_as(book: RuleBook, judging: Judging) -> RuleBook:
    """The book for a class judged so; a scored book keeps only its outcomes for the others.

    A class that is placed or timed has no scale, no penalties to price, no rail work over totals.
    A timed one always knows what it is to have no time.
    """
    if judging == book.judging:
        return book
    outcomes = book.outcomes
    if judging == "timed" and book.outcome("no_time") is None:
        outcomes = (*outcomes, _NO_TIME)
    return msgspec.structs.replace(
        book,
        judging=judging,
        scale=NO_MARKS,
        outcomes=outcomes,
        rail=msgspec.structs.replace(book.rail, role="none", crosses_outcomes=False),
        ties=(),
        penalties=(),
        graded_penalties=(),
        caps=(),
    )
