"""The result of a sheet as people read it."""

import shutil
from collections.abc import Iterator
from textwrap import fill

from events.half_points import to_text
from events.projections.card import CardView, RideLine
from events.projections.placing import PlacingRow, SeatPlacing
from events.rulebook.model import RiderMark, RuleBook
from service.sheet.columns import (
    NONE,
    awarded,
    half_points,
    numbers,
    outcomes,
    paid,
    seconds,
    who,
)
from service.sheet.explain import explanations
from service.sheet.grid import Column, grid
from service.sheet.purse import told
from service.sheet.score import Scored
from service.sheet.together import together

_NARROWEST = 40
_UNBROKEN = "\u00a0"
"""A blank at which no line is broken, so that a number stays with its name."""
_Rows = list[tuple[PlacingRow, RideLine]]


def as_table(scored: Scored, width: int | None = None) -> str:
    """Every seat's placing with its card, what settled it, warnings, and the book's caution.

    It fits into ``width`` signs, by default those of the terminal.
    """
    width = max(width or shutil.get_terminal_size().columns, _NARROWEST)
    blocks = [_heading(scored)]
    for seat, card in zip(scored.placing.seats, scored.cards, strict=True):
        columns = list(_columns(seat, card, scored))
        title = f"Learner {seat.seat}" if seat.kind == "learner" else f"Seat {seat.seat}"
        blocks.append([title, *grid(columns, width)])
        blocks.append(explanations(scored, seat, card))
    blocks += together(scored, width)
    blocks.append([] if scored.purse is None else told(scored.purse))
    blocks.append([f"Warning: {warning}" for warning in scored.warnings])
    texts = [_wrapped(block, width) for block in blocks if block]
    return "\n\n".join([*texts, fill(scored.book.notice, width)])


def _wrapped(block: list[str], width: int) -> str:
    lines = (
        line if len(line) <= width else fill(line, width, subsequent_indent="  ") for line in block
    )
    return "\n".join(lines).replace(_UNBROKEN, " ")


def _heading(scored: Scored) -> list[str]:
    book, rider_mark = scored.book, scored.book.scale.rider_mark
    named = (f"{number}.{_UNBROKEN}{name}" for number, name in enumerate(scored.maneuvers, start=1))
    lines = [
        f"{book.title} (rule book {book.id}, edition {book.edition})",
        f"Class size {scored.placing.class_size}",
        *(
            f"Section {part.section}: class size {part.class_size}"
            for part in scored.placing.sections
        ),
    ]
    if book.judging == "scored":
        lines.append(f"Maneuvers: {'; '.join(named)}")
    if rider_mark is not None:
        lines.append(f"{_initials(rider_mark)}: {rider_mark.name[:1].lower()}{rider_mark.name[1:]}")
    if any(ride.penalties for card in scored.cards for ride in card.rides):
        lines.append("In brackets, and under Pen.: penalty points")
    return lines


def _initials(scale: RiderMark) -> str:
    """``F&E`` for form and effectiveness, as a card's column has it."""
    return "".join("&" if word == "and" else word[0].upper() for word in scale.name.split())


def _columns(seat: SeatPlacing, card: CardView, scored: Scored) -> Iterator[Column]:
    book, rides = scored.book, {ride.entry: ride for ride in card.rides}
    rows = [(row, rides[row.entry]) for row in seat.rows]
    called = {row.entry: row.outcome for row in seat.rows}
    yield from who(seat.rows)
    if book.judging == "scored":
        yield from _scores(rows, book)
    elif book.judging == "timed":
        yield numbers("Time", [seconds(row.milliseconds) for row in seat.rows])
    if seat.kind == "judge" and scored.placing.panel.method == "separate":
        yield from awarded(scored.points, seat.rows, called)
    yield from paid(scored.purse, seat.rows, seat.seat)
    yield from outcomes(list(called.values()))


def _scores(rows: _Rows, book: RuleBook) -> Iterator[Column]:
    yield from _maneuvers(rows, signed=book.scale.mark.lowest < 0)
    if book.scale.rider_mark is not None:
        marks = [half_points(ride.rider_mark) for _, ride in rows]
        yield numbers(_initials(book.scale.rider_mark), marks)
    yield numbers("Pen.", [half_points(ride.score.penalty_points) for _, ride in rows])
    yield numbers("Total", [half_points(row.total) for row, _ in rows])


def _maneuvers(rows: _Rows, *, signed: bool) -> Iterator[Column]:
    count = len(rows[0][1].marks) if rows else 0
    for number in range(1, count + 1):
        marks = [_mark(ride, number, signed=signed) for _, ride in rows]
        widest = max(map(len, marks))
        cells = tuple(
            f"{mark.rjust(widest)}{_penalties(ride, number)}"
            for mark, (_, ride) in zip(marks, rows, strict=True)
        )
        yield Column(heading=str(number).rjust(widest), cells=cells, detail=True)
    elsewhere = tuple(_penalties(ride, None).strip() for _, ride in rows)
    if any(elsewhere):
        yield Column(heading="Other", cells=elsewhere, detail=True)


def _mark(ride: RideLine, number: int, *, signed: bool) -> str:
    mark = ride.marks[number - 1].mark
    return NONE if mark is None else to_text(mark, signed=signed)


def _penalties(ride: RideLine, maneuver: int | None) -> str:
    points = [to_text(line.points) for line in ride.penalties if line.maneuver == maneuver]
    return f" ({'+'.join(points)})" if points else ""
