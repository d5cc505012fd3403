"""What the judges of a class come to together, in each section and in each division."""

from collections.abc import Collection, Sequence
from fractions import Fraction

import msgspec

from events.judged_class.standing import scores, seat_placing, sections
from events.judged_class.state import ClassState
from events.rulebook.model import PanelChoice, PanelMethod, RuleBook, SeatShare
from events.scoring.panel.cards import (
    Line,
    PanelIncomplete,
    PanelUnfit,
    SeatCard,
    scored_card,
)
from events.scoring.panel.combine import Panel, SeatWeight, combine
from events.scoring.panel.ranking import Combined
from events.scoring.panel.ties import RunOff, TieJudge

_BY_SCORES: Collection[PanelMethod] = {"sum", "mean", "drop_high_low_sum"}
_DIGITS = 12
"""More digits than any weight has, and few enough to count with."""


class PanelResult(msgspec.Struct, frozen=True, kw_only=True):
    """The panel's placing, best first; empty where each judge's card is a result of its own.

    ``unfinished`` names the entries that a seat still leaves open, ``unfit`` what does not fit in
    the settings of the panel: with either there are no rows, rather than wrong ones.
    """

    method: PanelMethod
    rows: tuple[Combined, ...] = ()
    unfinished: tuple[tuple[str, tuple[str, ...]], ...] = ()
    unfit: str | None = None


def panel_choice(state: ClassState, book: RuleBook) -> PanelChoice:
    """How the class combines its judges: by its own choice, else as the rule book says."""
    chosen = state.scheduled.panel if state.scheduled else None
    return chosen or PanelChoice(method=book.panel.method, values=book.panel.values)


def panel_result(
    state: ClassState, book: RuleBook, among: Collection[str] | None = None
) -> PanelResult:
    """The panel's result over all entries, or over those of a section or a division.

    A class ridden in sections has its sections' results, one after another, once all are there.
    """
    if among is None and state.sections:
        return _one_after_another(
            [panel_result(state, book, part) for part in sections(state).values()]
        )
    choice = panel_choice(state, book)
    if choice.method == "separate":
        return PanelResult(method=choice.method)
    if choice.method in _BY_SCORES and book.judging != "scored":
        return PanelResult(
            method=choice.method,
            unfit=f"Cards of a {book.judging} class hold no scores, which this method adds up; "
            "placing values, weighted and majority go by the places.",
        )
    cards = seat_cards(state, book, among)
    if not cards or not cards[0].lines:
        return PanelResult(method=choice.method)
    try:
        rows = combine(
            _panel(choice),
            cards,
            class_number=state.scheduled.number if state.scheduled else None,
            run_offs=_run_offs(state),
        )
    except PanelIncomplete as open_still:
        return PanelResult(method=choice.method, unfinished=tuple(open_still.missing.items()))
    except PanelUnfit as unfit:
        return PanelResult(method=choice.method, unfit=str(unfit))
    return PanelResult(method=choice.method, rows=rows)


def judging(state: ClassState) -> tuple[str, ...]:
    """The seats whose cards count, in order."""
    return tuple(seat for seat, card in sorted(state.cards.items()) if card.kind == "judge")


def misfit(state: ClassState, choice: PanelChoice, seats: Sequence[str]) -> str | None:
    """What of a panel's settings does not fit these seats, whatever the judges write."""
    ride = Line(place=1, total=0)
    cards = [SeatCard(seat=seat, lines={"": ride}) for seat in seats]
    if not cards:
        return None
    try:
        combine(
            _panel(choice),
            cards,
            class_number=state.scheduled.number if state.scheduled else None,
        )
    except PanelUnfit as unfit:
        return str(unfit)
    return None


def _one_after_another(parts: Sequence[PanelResult]) -> PanelResult:
    missing: dict[str, tuple[str, ...]] = {}
    for part in parts:
        for seat, entries in part.unfinished:
            missing[seat] = (*missing.get(seat, ()), *entries)
    unfit = next((part.unfit for part in parts if part.unfit is not None), None)
    whole = not missing and unfit is None
    return PanelResult(
        method=parts[0].method,
        rows=tuple(row for part in parts for row in part.rows) if whole else (),
        unfinished=tuple(sorted(missing.items())),
        unfit=unfit,
    )


def seat_cards(
    state: ClassState, book: RuleBook, among: Collection[str] | None = None
) -> tuple[SeatCard, ...]:
    """What each judge's card says of each entry, as panels read it."""
    return tuple(
        scored_card(
            card.seat, seat_placing(state, card, book, among), scores(state, card, book, among)
        )
        for _, card in sorted(state.cards.items())
        if card.kind == "judge"
    )


def weight_of(text: str) -> Fraction | None:
    """The weight that a decimal number above 0 is written as; ``None`` for any other text."""
    digits = text.replace(".", "", 1)
    if not (digits.isascii() and digits.isdigit() and len(digits) <= _DIGITS):
        return None
    return Fraction(text) or None


def _panel(choice: PanelChoice) -> Panel:
    odd_even = choice.tie_judge
    return Panel(
        method=choice.method,
        values=choice.values,
        weights=tuple(
            SeatWeight(seat=share.seat, weight=_weight(share)) for share in choice.weights
        ),
        call_judges=choice.call_judges,
        tie_judge=TieJudge(odd=odd_even.odd, even=odd_even.even) if odd_even else None,
    )


def _weight(share: SeatShare) -> Fraction:
    weight = weight_of(share.weight)
    if weight is None:  # an old event must always be readable
        raise PanelUnfit("weights", f"The weight of seat {share.seat} cannot be read.")
    return weight


def _run_offs(state: ClassState) -> tuple[RunOff, ...]:
    return tuple(
        RunOff(
            order=known.event.order,
            declined=known.event.declined,
            award_to=known.event.award_to,
        )
        for known in state.run_offs
    )
