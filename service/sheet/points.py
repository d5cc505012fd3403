"""What the places on a sheet earn by the points table it names."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from fractions import Fraction
from itertools import groupby

from events.projections.placing import ClassPlacing, PanelRow, PlacingRow
from events.rulebook.model import OutcomeKind
from events.scoring.points.award import (
    Entrant,
    SizeUnfit,
    award,
    outcome_together,
    size_of_class,
)
from events.scoring.points.model import PointsTable

Rows = Sequence[PlacingRow | PanelRow]
Outcomes = Mapping[str, OutcomeKind | None]


def earned(table: PointsTable, rows: Rows, outcomes: Outcomes) -> Mapping[str, Fraction]:
    """The points of each entry; none where the table says nothing of a class of this size.

    Each section counts as a class.
    """
    points: dict[str, Fraction] = {}
    for _, part in groupby(rows, key=lambda row: row.section):
        entrants = [
            Entrant(entry=row.entry, place=row.place, outcome=outcomes.get(row.entry))
            for row in part
        ]
        try:
            awards = award(table, size_of_class(table, entrants), entrants).awards
        except SizeUnfit:
            continue
        points.update({each.entry: each.points for each in awards})
    return points


def outcomes_of(placing: ClassPlacing) -> Outcomes:
    """The outcome of each entry for results that the judges make together."""
    called: dict[str, list[OutcomeKind | None]] = defaultdict(list)
    for seat in placing.seats:
        if seat.kind == "judge":
            for row in seat.rows:
                called[row.entry].append(row.outcome)
    return {entry: outcome_together(outcomes) for entry, outcomes in called.items()}


def size_warnings(table: PointsTable | None, placing: ClassPlacing) -> tuple[str, ...]:
    """That the table says nothing of so small a class, where it does not."""
    if table is None:
        return ()
    parts = [(f", section {part.section}", part.seats) for part in placing.sections]
    unfit = [
        f"Seat {seat.seat}{of}: the points table {table.id} says nothing of a class of this size."
        for of, seats in parts or [("", placing.seats)]
        for seat in seats
        if seat.kind == "judge"
        and seat.rows
        and not earned(table, seat.rows, {r.entry: r.outcome for r in seat.rows})
    ]
    return tuple(unfit)
