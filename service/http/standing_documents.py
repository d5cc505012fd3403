"""How standings are shown: rows, the lines behind them, and what moved."""

from collections.abc import Mapping
from typing import Any

from events.awards.rules import Carrier
from events.projections.earned import EarnedLine, pair_of
from events.projections.points_explained import explained
from events.projections.standing_moves import StandingMove, StoodAt
from events.projections.standings import Counted, StandingRow
from events.scoring.points.model import PointsTable
from service.desk.names import Names
from service.desk.standings import MovesLook, StandingLook

Json = dict[str, Any]


def standing(look: StandingLook, *, with_lines: bool) -> Json:
    """A part of a standing, with the lines behind its rows where they are wanted."""
    rules = look.standing.rules
    rows = [_row(row, rules.carrier, look.names) for row in look.rows]
    if with_lines:
        for shown, row in zip(rows, look.rows, strict=True):
            shown["lines"] = [_line(each, look.names, look.tables) for each in row.lines]
    return {
        "award": rules.award,
        "name": rules.name,
        "points": rules.points,
        "position": look.standing.position,
        "turned_at": look.turned_at,
        "size": len(look.standing.rows),
        "rows": rows,
    }


def _row(row: StandingRow, carrier: Carrier, known: Names) -> Json:
    return carried(row.carrier, carrier, known) | {
        "place": row.place,
        "tied": row.tied,
        "points": row.points,
        "exact": str(row.points),
        "shows": row.shows,
        "classes": row.classes,
        "judges": row.judges,
        "categories": [
            {"name": name, "points": points, "exact": str(points)}
            for name, points in row.categories.items()
        ],
        "missing": row.missing,
        "parted_by": row.parted_by,
        "settled": row.settled,
    }


def carried(name: str, carrier: Carrier, known: Names) -> Json:
    """A carrier by name, with the rider and the horse that it names."""
    rider, horse = pair_of(carrier, name)
    return {"carrier": name, "rider": _rider(rider, known), "horse": _horse(horse, known)}


def _rider(rider: str | None, known: Names) -> Json | None:
    return None if rider is None else {"id": rider, "name": known.person(rider)}


def _horse(horse: str | None, known: Names) -> Json | None:
    return None if horse is None else {"id": horse, "name": known.horse(horse)}


def _line(counted: Counted, known: Names, tables: Mapping[str, PointsTable]) -> Json:
    line: EarnedLine = counted.line
    reason = explained(line, tables[line.table])
    fields = {name: getattr(line, name) for name in line.__struct_fields__}
    return fields | {
        "counts": counted.counts,
        "says": reason.says,
        "places": reason.places,
        "exact": str(line.points),
        "rider": _rider(line.exhibitor, known),
        "horse": _horse(line.horse, known),
    }


def moves(found: MovesLook) -> list[Json]:
    """What moved, each with the lines that did it."""
    carrier = found.rules.carrier
    return [_move(each, carrier, found.names, found.tables) for each in found.moves]


def _move(
    move: StandingMove, carrier: Carrier, known: Names, tables: Mapping[str, PointsTable]
) -> Json:
    return carried(move.carrier, carrier, known) | {
        "before": _stood(move.before),
        "after": _stood(move.after),
        "lines": [
            {
                side: None if counted is None else _line(counted, known, tables)
                for side, counted in (("before", each.before), ("after", each.after))
            }
            for each in move.lines
        ],
    }


def _stood(at: StoodAt | None) -> Json | None:
    if at is None:
        return None
    fields = {name: getattr(at, name) for name in at.__struct_fields__}
    return fields | {"exact": str(at.points)}
