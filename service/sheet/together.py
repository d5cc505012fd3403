"""What judges, divisions and learners come to, as people read it below the cards."""

from collections.abc import Iterator, Sequence

from events.projections.placing import PanelPlacing, PanelRow, PlacingRow
from events.scoring.exact import to_words
from service.sheet.grid import Column, grid, place_word
from service.sheet.learners import LearnerScore
from service.sheet.score import Scored


def together(scored: Scored, width: int) -> Iterator[list[str]]:
    """A block for the panel, for each division, and one for all learners."""
    whole = scored.placing
    if whole.panel.rows:
        yield [f"The judges together, {_method(whole.panel)}", *_panel(whole.panel.rows, width)]
    for division in whole.divisions:
        title = f"Division {division.name}, class size {division.class_size}"
        if division.panel.rows:
            yield [f"{title}, {_method(division.panel)}", *_panel(division.panel.rows, width)]
        else:
            for seat in division.seats:
                yield [f"{title}, seat {seat.seat}", *_rows(seat.rows, width)]
    if scored.learners:
        yield [_contest(each) for each in scored.learners]


def _method(panel: PanelPlacing) -> str:
    return f"by {panel.method.replace('_', ' ')}"


def _panel(rows: Sequence[PanelRow], width: int) -> list[str]:
    figures = ("-" if row.figure is None else to_words(row.figure) for row in rows)
    return grid([*_named(rows), Column(heading="Figure", cells=tuple(figures), right=True)], width)


def _rows(rows: Sequence[PlacingRow], width: int) -> list[str]:
    return grid(_named(rows), width)


def _named(rows: Sequence[PanelRow | PlacingRow]) -> list[Column]:
    places = (place_word(row.place, tied=row.tied) for row in rows)
    return [
        Column(heading="Place", cells=tuple(places)),
        Column(heading="Entry", cells=tuple(row.entry for row in rows), right=True),
        Column(heading="Back", cells=tuple(str(row.back_number) for row in rows), right=True),
    ]


def _contest(of: LearnerScore) -> str:
    placed = ", ".join(of.order) or "nobody"
    if of.contest is None:
        return f"Learner {of.seat} placed {placed}; there are no cuts to score it by."
    return f"Learner {of.seat} placed {placed}: {of.contest.score} by cuts."
