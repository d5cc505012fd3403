"""The result of a sheet as one JSON object."""

from typing import Any

from events.half_points import to_number
from events.projections.placing import PlacingRow
from service.sheet.score import Scored


def as_json(scored: Scored) -> dict[str, Any]:
    """Each seat's placing, the class size, and warnings; totals are plain numbers."""
    return {
        "seats": {
            seat.seat: {"placings": [_row(row) for row in seat.rows]}
            for seat in scored.placing.seats
        },
        "class_size": scored.placing.class_size,
        "warnings": list(scored.warnings),
    }


def _row(row: PlacingRow) -> dict[str, Any]:
    return {
        "entry": row.entry,
        "back_number": row.back_number,
        "place": row.place,
        "tied": row.tied,
        "total": None if row.total is None else to_number(row.total),
        "outcome": row.outcome,
        "stale": row.stale,
    }
