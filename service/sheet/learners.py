"""Learners' cards on a sheet: scored by cuts against the official placing, and never counted."""

import msgspec

from events.projections.placing import ClassPlacing
from events.scoring.cuts import ContestRule, ContestScore, contest_score
from service.sheet.model import Sheet, SheetCard

_RULE = ContestRule(unfinished=0)
"""A placing that leaves an entry out scores nothing, as at Kansas State (handout, docest.com)."""


class LearnerScore(msgspec.Struct, frozen=True, kw_only=True):
    """A learner's placing, best first, and its score by cuts; ``None`` where no cuts fit."""

    seat: str
    order: tuple[str, ...]
    contest: ContestScore | None


def learner_scores(sheet: Sheet, placing: ClassPlacing) -> tuple[LearnerScore, ...]:
    """Every learner's card in the order of the sheet."""
    official = _official(placing)
    return tuple(
        LearnerScore(
            seat=card.seat,
            order=(order := _order_of(card, placing)),
            contest=contest_score(official, order, sheet.cuts, _RULE)
            if official and len(sheet.cuts) == len(official) - 1
            else None,
        )
        for card in sheet.cards
        if card.learner
    )


def _official(placing: ClassPlacing) -> tuple[str, ...]:
    """The official order: the panel's, else the first judge's.

    Empty where places are shared, and where each section has an order of its own.
    """
    judges = [seat for seat in placing.seats if seat.kind == "judge"]
    rows = placing.panel.rows or (judges[0].rows if judges else ())
    if placing.sections or any(row.tied for row in rows):
        return ()
    return tuple(row.entry for row in rows if row.place is not None)


def _order_of(card: SheetCard, placing: ClassPlacing) -> tuple[str, ...]:
    if card.judging == "placed":
        return card.placed
    rows = next((seat.rows for seat in placing.seats if seat.seat == card.seat), ())
    return tuple(row.entry for row in rows if row.place is not None)
