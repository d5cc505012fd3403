"""The placing of a class as it stands at a version: each seat's, with back numbers."""

from typing import Literal

import msgspec

from events.half_points import HalfPoints
from events.judged_class.events import SeatKind
from events.judged_class.standing import class_size, seat_placing, stale_orders
from events.judged_class.state import Card, ClassState, Phase
from events.rulebook.model import OutcomeKind, RuleBook


class PlacingRow(msgspec.Struct, frozen=True, kw_only=True):
    """One entry's line on a seat's placing; ``place`` is ``None`` where it takes none."""

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


class SeatPlacing(msgspec.Struct, frozen=True, kw_only=True):
    """What one card places; ``stale_orders`` are those that hold back official results."""

    seat: str
    judge: str
    kind: SeatKind
    signed: bool
    stale_orders: tuple[str, ...]
    rows: tuple[PlacingRow, ...]


class ClassPlacing(msgspec.Struct, frozen=True, kw_only=True):
    """The placing of a class at ``version``, as the rule book makes it from what was known then."""

    version: int
    phase: Phase
    revision: int
    class_size: int
    seats: tuple[SeatPlacing, ...]


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
    )


def cautions(of: ClassPlacing) -> tuple[Caution, ...]:
    """What is missing or stale on the judges' cards, in seat order."""
    found: list[Caution] = []
    for seat in of.seats:
        if seat.kind == "learner":  # a learner's card never counts, so nobody waits for it
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


def _seat(state: ClassState, card: Card, book: RuleBook) -> SeatPlacing:
    numbers = {entry: number for number, entry in enumerate(state.draw, start=1)}
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
            )
            for row in seat_placing(state, card, book)
        ),
    )
