"""Takes a sheet through the very decisions that a class at a show is taken through."""

from collections.abc import Iterable, Mapping
from datetime import UTC, datetime
from typing import cast

import msgspec

from events.envelope import Actor
from events.judged_class.decide import decide
from events.judged_class.events import ClassEvent
from events.judged_class.evolve import fold
from events.judged_class.standing import running_entries, scores
from events.judged_class.state import INITIAL, ClassState
from events.projections.card import CardView, card_view
from events.projections.placing import ClassPlacing, placing
from events.refusals import Refusal
from events.rulebook.model import RuleBook
from events.scoring.points.model import PointsTable
from service.sheet.ask import (
    Asked,
    drawing,
    judging,
    ordering,
    placing_alone,
    setting_up,
    texts,
    timing,
)
from service.sheet.book import judged_as
from service.sheet.faults import SheetFault, SheetRefused, json_path
from service.sheet.learners import LearnerScore, learner_scores
from service.sheet.model import Sheet, SheetCard, SheetOrder
from service.sheet.panel import panel_faults
from service.sheet.points import size_warnings
from service.sheet.purse import PaidPurse, paid_purse
from service.sheet.read import read_sheet
from service.sheet.warn import kept_in_line, unfinished

_OFFICE = Actor(key="sheet", role="office")
_NO_TIME = datetime(1970, 1, 1, tzinfo=UTC)
"""Nothing on a sheet depends on when it was written."""


class Scored(msgspec.Struct, frozen=True, kw_only=True):
    """A class scored from its sheet: what happened in it, and what that comes to.

    ``texts`` holds the free texts of the sheet by the references under which events name them.
    """

    book: RuleBook
    maneuvers: tuple[str, ...]
    events: tuple[ClassEvent, ...]
    placing: ClassPlacing
    cards: tuple[CardView, ...]
    texts: Mapping[str, str]
    warnings: tuple[str, ...]
    learners: tuple[LearnerScore, ...] = ()
    points: PointsTable | None = None
    purse: PaidPurse | None = None


def score_sheet(content: bytes) -> Scored:
    """The class in a sheet, scored; ``SheetRefused`` with everything that is wrong with it."""
    reading = read_sheet(content)
    if reading.book is None:
        raise SheetRefused(reading.faults)
    book = judged_as(reading.book, reading.sheet.judging)
    taken = _Taken(book, reading.faults)
    _judge(taken, reading.sheet)
    if not taken.faults:  # an order rests on totals, so these come first
        _order(taken, reading.sheet)
    if not taken.faults:
        taken.faults += panel_faults(taken.state, book)
    if taken.faults:
        raise SheetRefused(tuple(taken.faults))
    state, whole = taken.state, placing(taken.state, book)
    purse = reading.sheet.purse
    cards = tuple(card_view(state, card, book) for _, card in sorted(state.cards.items()))
    missing = (sentence for card in cards for sentence in unfinished(card, book))
    return Scored(
        book=book,
        maneuvers=reading.sheet.maneuvers,
        events=tuple(taken.events),
        placing=whole,
        cards=cards,
        texts=texts(reading.sheet),
        warnings=(*missing, *taken.warnings, *size_warnings(reading.sheet.points, whole)),
        points=reading.sheet.points,
        purse=None if purse is None else paid_purse(state, book, purse),
        learners=learner_scores(reading.sheet, whole),
    )


class _Taken:
    """A class as the commands taken so far make it; a refused one is noted, and others go on."""

    def __init__(self, book: RuleBook, faults: Iterable[SheetFault]) -> None:
        self.book = book
        self.state: ClassState = INITIAL
        self.events: list[ClassEvent] = []
        self.warnings: list[str] = []
        self.faults = list(faults)

    def take(self, asked: Iterable[Asked]) -> None:
        """Takes several commands in turn."""
        for one in asked:
            try:
                happened = decide(
                    self.state, one.command, rulebook=self.book, now=_NO_TIME, actor=_OFFICE
                )
            except Refusal as refused:
                self._note(one, refused)
            else:
                self.events += (events := cast("tuple[ClassEvent, ...]", happened))
                self.state = fold(events, self.state)

    def _note(self, asked: Asked, refused: Refusal) -> None:
        """Keeps one fault a field, since a second one would only follow from the first."""
        keys = (refused.code, refused.field or "")
        path = json_path(next((asked.at[key] for key in keys if key in asked.at), asked.path))
        if all(fault.path != path for fault in self.faults):
            self.faults.append(SheetFault(path, refused.message))


def _judge(taken: _Taken, sheet: Sheet) -> None:
    taken.take(setting_up(sheet, taken.book))
    taken.take([drawing(sheet, (entry.id for entry in running_entries(taken.state)))])
    if taken.state.pattern is None and sheet.judging == "scored":
        return
    for card in sheet.cards:
        if card.seat in taken.state.cards:
            taken.take(judging(card, taken.state.entries))
            taken.take(timing(card, taken.state.entries))
            if card.judging == "placed":
                taken.take([placing_alone(card)])


def _order(taken: _Taken, sheet: Sheet) -> None:
    for card in sheet.cards:
        for order in card.rail:
            positions = _in_line(taken, card, order)
            counted = tuple(order.order[position] for position in positions)
            if counted != order.order:
                taken.warnings.append(kept_in_line(card.seat, order.order, counted, taken.book))
            taken.take([ordering(card, order, positions)])


def _in_line(taken: _Taken, card: SheetCard, order: SheetOrder) -> list[int]:
    """The positions of an order in the sequence in which it can count.

    A judge calls the whole class in from the rail, yet in most books no run is lifted over one
    with a better outcome: so each side of that line keeps its own order.
    """
    known = scores(taken.state, taken.state.cards[card.seat], taken.book)
    positions = list(range(len(order.order)))
    tiers = [known[entry].tier if entry in known else None for entry in order.order]
    if taken.book.rail.crosses_outcomes or None in tiers:
        return positions
    return sorted(positions, key=lambda position: tiers[position] or 0)
