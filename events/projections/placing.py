"""The placing of a class as it stands at a version: of seats and panel, sections and divisions."""

from collections.abc import Collection
from fractions import Fraction
from typing import Literal

import msgspec

from events.half_points import HalfPoints
from events.judged_class.panel import panel_result
from events.judged_class.standing import (
    class_size,
    divisions,
    scores,
    seat_placing,
    sections,
    stale_orders,
)
from events.judged_class.state import Card, CardKind, ClassState, Phase
from events.rulebook.model import OutcomeKind, PanelMethod, RuleBook


class PlacingRow(msgspec.Struct, frozen=True, kw_only=True):
    """One entry's line on a seat's placing; ``place`` is ``None`` where it takes none.

    ``milliseconds`` is the time with its penalties in a timed class. ``place`` is that among the
    entries of ``section``, where the class is ridden in sections.
    """

    entry: str
    working_order: int | None
    back_number: int
    place: int | None
    tied: bool
    total: HalfPoints | None
    outcome: OutcomeKind | None
    complete: bool
    parted_by: str | None
    stale: bool
    milliseconds: int | None = None
    section: int | None = None


class SeatPlacing(msgspec.Struct, frozen=True, kw_only=True):
    """What one card places; ``stale_orders`` are those that hold back official results.

    ``judges_before`` are those who filled the card before the judge who has it now.
    """

    seat: str
    judge: str
    kind: CardKind
    signed: bool
    stale_orders: tuple[str, ...]
    rows: tuple[PlacingRow, ...]
    judges_before: tuple[str, ...] = ()


class PanelRow(msgspec.Struct, frozen=True, kw_only=True):
    """One entry's line on the panel's placing; ``figure`` is what its method ranks by."""

    entry: str
    working_order: int | None
    back_number: int
    place: int | None
    tied: bool
    figure: Fraction | None
    parted_by: str | None
    section: int | None = None


class PanelPlacing(msgspec.Struct, frozen=True, kw_only=True):
    """What the judges place together; no rows where each card is a result of its own.

    ``open`` says why there are no rows yet although the method would give some.
    """

    method: PanelMethod
    rows: tuple[PanelRow, ...]
    open: str | None


class DivisionPlacing(msgspec.Struct, frozen=True, kw_only=True):
    """The same rides placed among the entries of one division alone."""

    name: str
    class_size: int
    seats: tuple[SeatPlacing, ...]
    panel: PanelPlacing


class SectionPlacing(msgspec.Struct, frozen=True, kw_only=True):
    """The result of one section, which is placed as a class of its own, divisions too."""

    section: int
    class_size: int
    seats: tuple[SeatPlacing, ...]
    panel: PanelPlacing
    divisions: tuple[DivisionPlacing, ...]


class ClassPlacing(msgspec.Struct, frozen=True, kw_only=True):
    """The placing of a class at ``version``, as the rule book makes it from what was known then.

    Where it is ridden in ``sections`` each of them is a result of its own; ``seats`` and ``panel``
    then list them one after another, and divisions are those of each section.
    """

    version: int
    phase: Phase
    revision: int
    class_size: int
    seats: tuple[SeatPlacing, ...]
    panel: PanelPlacing
    divisions: tuple[DivisionPlacing, ...]
    sections: tuple[SectionPlacing, ...] = ()


class Caution(msgspec.Struct, frozen=True, kw_only=True):
    """Something that whoever reads the placing ought to know."""

    kind: Literal["incomplete", "stale_order"]
    seat: str
    entry: str | None
    says: str


def placing(state: ClassState, book: RuleBook) -> ClassPlacing:
    """The placing of every seat, in the order the seats are named."""
    return ClassPlacing(
        version=state.version,
        phase=state.phase,
        revision=state.revision,
        class_size=class_size(state, book),
        seats=tuple(_seat(state, card, book) for _, card in sorted(state.cards.items())),
        panel=_panel(state, book),
        divisions=() if state.sections else _divisions(state, book),
        sections=tuple(
            SectionPlacing(
                section=number,
                class_size=class_size(state, book, among),
                seats=_judges(state, book, among),
                panel=_panel(state, book, among),
                divisions=_divisions(state, book, among),
            )
            for number, among in sections(state).items()
        ),
    )


def _divisions(
    state: ClassState, book: RuleBook, within: Collection[str] | None = None
) -> tuple[DivisionPlacing, ...]:
    return tuple(
        DivisionPlacing(
            name=name,
            class_size=class_size(state, book, among),
            seats=_judges(state, book, among),
            panel=_panel(state, book, among),
        )
        for name, among in divisions(state, within).items()
    )


def _judges(state: ClassState, book: RuleBook, among: Collection[str]) -> tuple[SeatPlacing, ...]:
    return tuple(
        _seat(state, card, book, among)
        for _, card in sorted(state.cards.items())
        if card.kind == "judge"
    )


def cautions(of: ClassPlacing) -> tuple[Caution, ...]:
    """What is missing or stale on the judges' cards, in seat order."""
    found: list[Caution] = []
    for seat in of.seats:
        if seat.kind != "judge":  # nobody waits for a card that does not count
            continue
        found.extend(
            Caution(
                kind="incomplete",
                seat=seat.seat,
                entry=row.entry,
                says=f"Seat {seat.seat}: back number {row.back_number} still wants marks.",
            )
            for row in seat.rows
            if not row.complete
        )
        found.extend(
            Caution(
                kind="stale_order",
                seat=seat.seat,
                entry=None,
                says=f"Seat {seat.seat}: order {order} is stale, since totals under it have moved "
                "or somebody joined its tie; the judge confirms it, withdraws it or sets another.",
            )
            for order in seat.stale_orders
        )
    return tuple(found)


def _panel(state: ClassState, book: RuleBook, among: Collection[str] | None = None) -> PanelPlacing:
    result = panel_result(state, book, among)
    unfinished = ", ".join(seat for seat, _ in result.unfinished)
    waits = f"Seat {unfinished} has not finished." if unfinished else None
    return PanelPlacing(
        method=result.method,
        open=result.unfit or waits,
        rows=tuple(
            PanelRow(
                entry=row.entry,
                working_order=state.working_order(row.entry),
                back_number=state.entries[row.entry].back_number,
                place=row.place,
                tied=row.tied,
                figure=row.figure,
                parted_by=row.parted_by,
                section=state.section(row.entry),
            )
            for row in result.rows
        ),
    )


def _seat(
    state: ClassState, card: Card, book: RuleBook, among: Collection[str] | None = None
) -> SeatPlacing:
    numbers = {entry: number for number, entry in enumerate(state.draw, start=1)}
    times = scores(state, card, book, among) if book.judging == "timed" else {}
    return SeatPlacing(
        seat=card.seat,
        judge=card.judge,
        kind=card.kind,
        signed=card.signed is not None,
        stale_orders=stale_orders(state, card, book) if card.orders else (),
        rows=tuple(
            PlacingRow(
                entry=row.entry,
                working_order=numbers.get(row.entry),
                back_number=state.entries[row.entry].back_number,
                place=row.place,
                tied=row.tied,
                total=row.total,
                outcome=row.outcome,
                complete=row.complete,
                parted_by=row.parted_by,
                stale=row.stale,
                milliseconds=times[row.entry].milliseconds if times else None,
                section=state.section(row.entry) if state.sections else None,
            )
            for row in seat_placing(state, card, book, among)
        ),
        judges_before=tuple(judge for judge, _ in card.before),
    )
