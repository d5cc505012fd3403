"""What a class would earn by a points table, before and after a ruling that is only tried."""

from collections.abc import Mapping
from fractions import Fraction
from itertools import groupby

import msgspec

from events.projections.placing import ClassPlacing
from events.projections.what_if import WhatIf
from events.scoring.points.award import Entrant, SizeUnfit, award, size_of_class
from events.scoring.points.model import PointsTable


class PointsChange(msgspec.Struct, frozen=True, kw_only=True):
    """An entry that would earn other points on a card; ``None`` where the table gives none."""

    seat: str
    entry: str
    back_number: int
    before: Fraction | None
    after: Fraction | None


def points_moved(found: WhatIf, table: PointsTable) -> tuple[PointsChange, ...]:
    """Every entry whose points on a judge's card would change, by seat and back number."""
    before, after = earned(found.before, table), earned(found.after, table)
    numbers = {
        row.entry: row.back_number
        for of in (found.before, found.after)
        for seat in of.seats
        for row in seat.rows
    }
    return tuple(
        PointsChange(
            seat=seat,
            entry=entry,
            back_number=numbers[entry],
            before=before.get((seat, entry)),
            after=after.get((seat, entry)),
        )
        for seat, entry in sorted(
            before.keys() | after.keys(), key=lambda key: (key[0], numbers[key[1]])
        )
        if before.get((seat, entry)) != after.get((seat, entry))
    )


def earned(placing: ClassPlacing, table: PointsTable) -> Mapping[tuple[str, str], Fraction]:
    """The points of each entry on each judge's card; none from a class too small for the table."""
    points: dict[tuple[str, str], Fraction] = {}
    for seat in placing.seats:
        if seat.kind != "judge":
            continue
        for _, rows in groupby(seat.rows, key=lambda row: row.section):  # each a class of its own
            entrants = [
                Entrant(entry=row.entry, place=row.place, outcome=row.outcome) for row in rows
            ]
            try:
                awards = award(table, size_of_class(table, entrants), entrants).awards
            except SizeUnfit:
                continue
            points.update({(seat.seat, each.entry): each.points for each in awards})
    return points
