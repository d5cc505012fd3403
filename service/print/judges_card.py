"""A judge's card: blank for a class that is still to run, or filled as it stands at a moment.

It names no rider and no horse: a judge reads the working order and the back number alone.
"""

from collections.abc import Sequence
from typing import ClassVar

import msgspec

from events.judged_class.standing import running_entries
from events.judged_class.state import Card
from events.projections.card import CardView, PenaltyLine, RideLine
from events.rulebook.model import RuleBook
from service.desk.desk import Desk
from service.desk.look import ClassLook, card_of
from service.desk.moments import event_of
from service.print.about import class_head, clock_of, judge_of, planned_of
from service.print.card_notes import notes
from service.print.legend import Legend, legends, sum_words
from service.print.press import Sheet
from service.print.words import outcome_words, points, seconds

_RAIL = {
    "ties": "Rail work parts equal totals only.",
    "adjusts": "Rail work may part equal totals, and move those it names inside their own places.",
}
_UNCOUNTED = {
    "learner": " (learner's card, never counted)",
    "closed": " (seat closed, counts for nothing)",
}


class Box(msgspec.Struct, frozen=True, kw_only=True):
    """One box of a row: what was called in it, above; and its mark or figure."""

    called: str = ""
    figure: str = ""


class Row(msgspec.Struct, frozen=True, kw_only=True):
    """One entry's row; both numbers stand in it, the working order and the back number."""

    working_order: str
    back_number: str
    maneuvers: tuple[Box, ...]
    closing: tuple[Box, ...]
    remark: str = ""


class Signature(msgspec.Struct, frozen=True, kw_only=True):
    """Where the judge signs, and what is known of it having been done."""

    judge: str
    says: str


class JudgesCard(Sheet, frozen=True, kw_only=True):
    """The whole card. ``maneuvers`` and ``closing`` name the columns of every row.

    ``rail`` says what the rail work may do; empty where the book has none. ``notes`` are what was
    written besides: calls, orders, faults noted, corrections.
    """

    TEMPLATE: ClassVar[str] = "judges-card"

    filled: bool
    maneuvers: tuple[str, ...]
    closing: tuple[str, ...]
    rows: tuple[Row, ...]
    how: str
    rail: str
    notes: tuple[str, ...]
    signature: Signature
    legends: tuple[tuple[Legend, ...], ...]


def blank_card(desk: Desk, seen: ClassLook, card: Card) -> JudgesCard:
    """The card of a seat with a row for every entry that is to run, and nothing written in it."""
    state = seen.state
    carries = _carries(seen)
    count = len(_closing(seen.book)) + carries
    rows = tuple(
        Row(
            working_order=_number(state.working_order(entry.id)),
            back_number=str(entry.back_number),
            maneuvers=tuple(Box() for _ in _maneuvers(seen)),
            closing=(
                *((Box(figure=points(entry.carried)),) if carries else ()),
                *(Box() for _ in range(count - carries)),
            ),
        )
        for entry in running_entries(state)
    )
    return _card(desk, seen, card, "Judge's card", rows)


def filled_card(desk: Desk, seen: ClassLook, seat: str) -> JudgesCard:
    """The card of a seat as it stands, with all that was called; or a refusal to show it."""
    view = card_of(seen, seat)
    rows = tuple(_row(seen, view, ride) for ride in view.rides)
    card = seen.state.cards[seat]
    return msgspec.structs.replace(
        _card(desk, seen, card, "Judge's card as it stands", rows),
        filled=True,
        notes=notes(seen, view),
        signature=Signature(judge=judge_of(seen, card), says=_signed(desk, seen, card)),
    )


def _card(desk: Desk, seen: ClassLook, card: Card, kind: str, rows: Sequence[Row]) -> JudgesCard:
    book = seen.book
    judge = judge_of(seen, card)
    pattern = seen.state.pattern
    return JudgesCard(
        head=class_head(
            desk,
            seen,
            kind,
            (
                ("Seat", f"{card.seat}: {judge}{_UNCOUNTED.get(card.kind, '')}"),
                *((("Pattern", pattern.name),) if pattern and pattern.name else ()),
                ("Entries", str(len(rows))),
            ),
        ),
        filled=False,
        maneuvers=_maneuvers(seen),
        closing=(*(("Carried",) if _carries(seen) else ()), *_closing(book)),
        rows=tuple(rows),
        how=sum_words(book),
        rail=_RAIL.get(book.rail.role, ""),
        notes=(),
        signature=Signature(judge=judge, says=""),
        legends=legends(book),
    )


def _maneuvers(seen: ClassLook) -> tuple[str, ...]:
    pattern = seen.state.pattern
    return pattern.maneuvers if pattern and seen.book.judging == "scored" else ()


def _carries(seen: ClassLook) -> bool:
    return any(entry.carried is not None for entry in seen.state.entries.values())


def _closing(book: RuleBook) -> tuple[str, ...]:
    match book.judging:
        case "placed":
            return ("Place",)
        case "timed":
            return ("Time, s", "Penalty, s", "Total, s")
        case _:
            rider = book.scale.rider_mark
            return (*((rider.name,) if rider else ()), "Penalty points", "Total")


def _row(seen: ClassLook, view: CardView, ride: RideLine) -> Row:
    carried = (Box(figure=points(ride.carried)),) if _carries(seen) else ()
    return Row(
        working_order=_number(ride.working_order),
        back_number=str(ride.back_number),
        maneuvers=tuple(
            Box(
                called=_sizes(ride.penalties, mark.maneuver),
                figure=points(mark.mark, signed=True),
            )
            for mark in (ride.marks if seen.book.judging == "scored" else ())
        ),
        closing=(*carried, *_figures(seen.book, view, ride)),
        remark=outcome_words(ride.outcome.kind).capitalize() if ride.outcome else "",
    )


def _figures(book: RuleBook, view: CardView, ride: RideLine) -> tuple[Box, ...]:
    match book.judging:
        case "placed":
            placed = view.placed or ()
            place = placed.index(ride.entry) + 1 if ride.entry in placed else None
            return (Box(figure=_number(place)),)
        case "timed":
            total = ride.score.milliseconds
            own, further = ride.milliseconds, ride.penalty_milliseconds
            return tuple(Box(figure=seconds(each)) for each in (own, further, total))
        case _:
            rider = (Box(figure=points(ride.rider_mark)),) if book.scale.rider_mark else ()
            taken = points(ride.score.penalty_points) if ride.penalties else ""
            calls = Box(called=_sizes(ride.penalties, None), figure=taken)
            return (*rider, calls, Box(figure=points(ride.score.total)))


def _sizes(penalties: Sequence[PenaltyLine], maneuver: int | None) -> str:
    return ", ".join(points(each.points) for each in penalties if each.maneuver == maneuver)


def _signed(desk: Desk, seen: ClassLook, card: Card) -> str:
    if card.signed is None:
        return "This card is not signed yet."
    clock = clock_of(planned_of(desk, seen.show))
    signature = event_of(desk, seen.id, card.signed)
    at, recorded = clock.moment(signature.occurred_at), clock.moment(signature.recorded_at)
    return f"Signed by the key of this seat {at}: event {card.signed}, recorded {recorded}."


def _number(number: int | None) -> str:
    return "" if number is None else str(number)
