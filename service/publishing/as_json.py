"""A published revision as plain JSON, points in plain numbers, next to what was signed."""

from fractions import Fraction
from typing import Any

from events.codec import time_text
from events.half_points import to_number
from events.projections.compare import Standing
from events.projections.result import (
    DivisionResult,
    PanelResultPart,
    ResultRow,
    SeatResult,
    Supersedes,
)
from events.scoring.exact import to_words
from service.publishing.published import Published


def as_json(shown: Published) -> dict[str, Any]:
    """The revision for a reader; ``signed`` holds the text that the note in it signs."""
    document = shown.document
    return {
        "class": document.class_id,
        "show": document.show,
        "name": document.name,
        "number": document.number,
        "rulebook": {
            "id": document.rulebook.id,
            "edition": document.rulebook.edition,
            "digest": document.rulebook.digest,
        },
        "revision": document.revision,
        "version": document.version,
        "position": document.position,
        "official_at": time_text(document.official_at),
        "published_at": time_text(shown.publication.published_at),
        "class_size": document.class_size,
        "seats": [_seat(shown, seat) for seat in document.seats],
        "panel": _panel(shown, document.panel),
        "divisions": [_division(shown, each) for each in document.divisions],
        "sections": [
            {
                "section": each.section,
                "class_size": each.class_size,
                "seats": [_seat(shown, seat) for seat in each.seats],
                "panel": _panel(shown, each.panel),
                "divisions": [_division(shown, division) for division in each.divisions],
            }
            for each in document.sections
        ],
        "supersedes": _supersedes(shown, document.supersedes) if document.supersedes else None,
        "signed": {
            "document": shown.publication.document.decode(),
            "note": shown.publication.note.decode(),
            "checkpoint": shown.publication.checkpoint,
        },
    }


def _division(shown: Published, of: DivisionResult) -> dict[str, Any]:
    return {
        "name": of.name,
        "class_size": of.class_size,
        "seats": [_seat(shown, seat) for seat in of.seats],
        "panel": _panel(shown, of.panel),
    }


def _seat(shown: Published, seat: SeatResult) -> dict[str, Any]:
    return {
        "seat": seat.seat,
        "judge": {"id": seat.judge, "name": shown.names.person(seat.judge)},
        "judges_before": [
            {"id": judge, "name": shown.names.person(judge)} for judge in seat.judges_before
        ],
        "rows": [_row(shown, row) for row in seat.rows],
    }


def _panel(shown: Published, panel: PanelResultPart) -> dict[str, Any]:
    return {
        "method": panel.method,
        "rows": [
            {
                "entry": row.entry,
                "back_number": row.back_number,
                **_pair(shown, row.entry),
                "place": row.place,
                "tied": row.tied,
                "figure": None if row.figure is None else to_words(Fraction(row.figure)),
                "section": row.section,
            }
            for row in panel.rows
        ],
    }


def _pair(shown: Published, entry: str) -> dict[str, Any]:
    pair = shown.pairs[entry]
    return {
        "exhibitor": {"id": pair.exhibitor, "name": shown.exhibitor(entry)},
        "horse": None if pair.horse is None else {"id": pair.horse, "name": shown.horse(entry)},
    }


def _row(shown: Published, row: ResultRow) -> dict[str, Any]:
    return {
        "entry": row.entry,
        "back_number": row.back_number,
        "working_order": row.working_order,
        **_pair(shown, row.entry),
        "place": row.place,
        "tied": row.tied,
        "total": None if row.total is None else to_number(row.total),
        "milliseconds": row.milliseconds,
        "outcome": row.outcome,
        "section": row.section,
    }


def _supersedes(shown: Published, before: Supersedes) -> dict[str, Any]:
    return {
        "revision": before.revision,
        "version": before.version,
        "moved": [
            {
                "seat": each.seat,
                "entry": each.entry,
                "back_number": each.back_number,
                "before": _standing(each.before),
                "after": _standing(each.after),
            }
            for each in before.moved
        ],
        "corrections": [
            {
                "version": each.version,
                "seat": each.seat,
                "entry": each.entry,
                "authority": each.authority,
                "reason": shown.names.text(each.reason),
                "protest": each.protest,
            }
            for each in before.corrections
        ],
    }


def _standing(of: Standing | None) -> dict[str, Any] | None:
    if of is None:
        return None
    total = None if of.total is None else to_number(of.total)
    return {"total": total, "outcome": of.outcome, "place": of.place, "tied": of.tied}
