"""What judges, divisions and learners come to, as people read it below the cards."""

from collections.abc import Iterator, Mapping, Sequence

from events.projections.placing import DivisionPlacing, PanelPlacing, PlacingRow, SeatPlacing
from events.rulebook.model import PanelMethod
from events.scoring.exact import to_words
from service.sheet.columns import NONE, awarded, half_points, numbers, outcomes, paid, seconds, who
from service.sheet.grid import Column, grid
from service.sheet.learners import LearnerScore
from service.sheet.points import outcomes_of
from service.sheet.score import Scored

_BY: Mapping[PanelMethod, str] = {
    "sum": "by the sum of their scores",
    "mean": "by the mean of their scores",
    "drop_high_low_sum": "by the sum of their scores less the highest and the lowest",
    "placing_values": "by placing values",
    "weighted": "by weighted placing values",
    "majority": "by majority",
}


def together(scored: Scored, width: int) -> Iterator[list[str]]:
    """A block for the panel, for each division of each section, and one for all learners."""
    whole = scored.placing
    if whole.panel.rows:
        yield [
            f"The judges together, {_BY[whole.panel.method]}",
            *_panel(scored, whole.panel, None, width),
        ]
    for division in whole.divisions:
        yield from _division(scored, division, "Division", width)
    for section in whole.sections:
        for division in section.divisions:
            title = f"Section {section.section}, division"
            yield from _division(scored, division, title, width)
    if scored.learners:
        yield [_contest(each) for each in scored.learners]


def _division(
    scored: Scored, division: DivisionPlacing, of: str, width: int
) -> Iterator[list[str]]:
    title = f"{of} {division.name}, class size {division.class_size}"
    if division.panel.rows:
        table = _panel(scored, division.panel, division.name, width)
        yield [f"{title}, {_BY[division.panel.method]}", *table]
        return
    for seat in division.seats:
        yield [f"{title}, seat {seat.seat}", *_seat(scored, seat, division.name, width)]


def _panel(scored: Scored, panel: PanelPlacing, division: str | None, width: int) -> list[str]:
    rows, called = panel.rows, outcomes_of(scored.placing)
    figures = [NONE if row.figure is None else to_words(row.figure) for row in rows]
    columns = [
        *who(rows),
        numbers("Figure", figures),
        *awarded(scored.points, rows, called),
        *paid(scored.purse, rows, None, division),
        *outcomes([called.get(row.entry) for row in rows]),
    ]
    return grid(columns, width)


def _seat(scored: Scored, seat: SeatPlacing, division: str, width: int) -> list[str]:
    called = {row.entry: row.outcome for row in seat.rows}
    columns = [
        *who(seat.rows),
        *_total(scored, seat.rows),
        *awarded(scored.points, seat.rows, called),
        *paid(scored.purse, seat.rows, seat.seat, division),
        *outcomes(list(called.values())),
    ]
    return grid(columns, width)


def _total(scored: Scored, rows: Sequence[PlacingRow]) -> Iterator[Column]:
    if scored.book.judging == "scored":
        yield numbers("Total", [half_points(row.total) for row in rows])
    elif scored.book.judging == "timed":
        yield numbers("Time", [seconds(row.milliseconds) for row in rows])


def _contest(of: LearnerScore) -> str:
    placed = ", ".join(of.order) or "nobody"
    if of.contest is None:
        return f"Learner {of.seat} placed {placed}; there are no cuts to score it by."
    return f"Learner {of.seat} placed {placed}: {of.contest.score} by cuts."
