"""The result of a sheet as one JSON object."""

from collections.abc import Iterable, Sequence
from typing import Any

from events.half_points import to_number
from events.projections.placing import (
    DivisionPlacing,
    PanelPlacing,
    PanelRow,
    PlacingRow,
    SeatPlacing,
)
from events.scoring.exact import to_plain
from events.scoring.points.model import PointsTable
from service.sheet.learners import LearnerScore
from service.sheet.points import Outcomes, Rows, earned, outcomes_of
from service.sheet.purse import PaidPurse
from service.sheet.score import Scored


def as_json(scored: Scored) -> dict[str, Any]:
    """Each seat's placing, the class size, and warnings; totals are plain numbers.

    Where the judges are combined, that too; each section, division and learner where there are any;
    and what a purse pays.
    """
    whole = scored.placing
    judges = [seat for seat in whole.seats if seat.kind == "judge"]
    document = _result(scored, judges, whole.panel, whole.class_size)
    document |= _divisions(scored, whole.divisions)
    if whole.sections:
        document["sections"] = {
            str(part.section): _result(scored, part.seats, part.panel, part.class_size)
            | _divisions(scored, part.divisions)
            for part in whole.sections
        }
    if scored.learners:
        cards = {seat.seat: seat for seat in whole.seats}
        document["learners"] = {
            each.seat: _learner(each, cards.get(each.seat)) for each in scored.learners
        }
    if scored.purse is not None:
        _pay(document, scored.purse)
    document["warnings"] = list(scored.warnings)
    return document


def _pay(document: dict[str, Any], purse: PaidPurse) -> None:
    """What is paid, on the rows of the placing that is paid for, and the purse as a whole."""
    part = document if purse.section is None else document["sections"][str(purse.section)]
    part = part if purse.division is None else part["divisions"][purse.division]
    result = part["combined"] if purse.seat is None else part["seats"][purse.seat]
    for row in result["placings"]:
        row["prize_cents"] = purse.cents.get(row["entry"], 0)
    paid = purse.payout
    document["purse"] = {
        "cents": paid.purse,
        "seat": purse.seat,
        "division": purse.division,
        **({} if purse.section is None else {"section": purse.section}),
        "paid": paid.paid,
        "unscheduled": paid.unscheduled,
        "unfilled": paid.unfilled,
        "odd_cents": paid.odd_cents,
        "notes": list(paid.notes),
    }


def _divisions(scored: Scored, of: Sequence[DivisionPlacing]) -> dict[str, Any]:
    if not of:
        return {}
    return {
        "divisions": {
            division.name: _result(scored, division.seats, division.panel, division.class_size)
            for division in of
        }
    }


def _result(
    scored: Scored, seats: Sequence[SeatPlacing], panel: PanelPlacing, class_size: int
) -> dict[str, Any]:
    table = scored.points
    result: dict[str, Any] = {"seats": {seat.seat: _seat(seat, table) for seat in seats}}
    if panel.method != "separate":
        rows = [_combined(row, seats) for row in panel.rows]
        outcomes = outcomes_of(scored.placing)
        result["combined"] = {"placings": _with_points(rows, panel.rows, outcomes, table)}
    result["class_size"] = class_size
    return result


def _seat(seat: SeatPlacing, table: PointsTable | None) -> dict[str, Any]:
    rows = [_row(row) for row in seat.rows]
    outcomes = {row.entry: row.outcome for row in seat.rows}
    return {"placings": _with_points(rows, seat.rows, outcomes, table)}


def _with_points(
    shown: list[dict[str, Any]], rows: Rows, outcomes: Outcomes, table: PointsTable | None
) -> list[dict[str, Any]]:
    """The rows, each with its points where a table is named; ``null`` where it gives none."""
    if table is None:
        return shown
    points = earned(table, rows, outcomes)
    return [
        row | {"points": to_plain(points[row["entry"]]) if row["entry"] in points else None}
        for row in shown
    ]


def _row(row: PlacingRow) -> dict[str, Any]:
    total = None if row.total is None else to_number(row.total)
    return {
        "entry": row.entry,
        "back_number": row.back_number,
        "place": row.place,
        "tied": row.tied,
        "total": total if row.milliseconds is None else _seconds(row.milliseconds),
        "outcome": row.outcome,
        "stale": row.stale,
        **_section(row),
    }


def _section(row: PlacingRow | PanelRow) -> dict[str, int]:
    """The section in which the place is; nothing in a class ridden as one."""
    return {} if row.section is None else {"section": row.section}


def _seconds(milliseconds: int) -> float:
    whole, thousandths = divmod(milliseconds, 1000)
    return whole if not thousandths else milliseconds / 1000


def _combined(row: PanelRow, seats: Iterable[SeatPlacing]) -> dict[str, Any]:
    """One entry's row of the panel; its outcome is the one on every card that gives it one."""
    lines = [line for seat in seats for line in seat.rows if line.entry == row.entry]
    outcomes = {line.outcome for line in lines if line.outcome is not None}
    return {
        "entry": row.entry,
        "back_number": row.back_number,
        "place": row.place,
        "tied": row.tied,
        "total": None if row.figure is None else to_plain(row.figure),
        "outcome": outcomes.pop() if len(outcomes) == 1 and row.place is None else None,
        "stale": any(line.stale for line in lines),
        **_section(row),
    }


def _learner(of: LearnerScore, card: SeatPlacing | None) -> dict[str, Any]:
    learner: dict[str, Any] = {"score": None if of.contest is None else of.contest.score}
    if card is not None:
        learner["placings"] = [_row(row) for row in card.rows]
    return learner
