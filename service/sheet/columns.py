"""Columns that the tables of cards, panels and divisions share."""

from collections.abc import Sequence

from events.half_points import to_text
from events.projections.placing import PanelRow, PlacingRow
from events.rulebook.model import OutcomeKind
from events.scoring.exact import to_words
from events.scoring.points.model import PointsTable
from service.sheet.explain import outcome_word
from service.sheet.grid import Column, place_word
from service.sheet.points import Outcomes, Rows, earned
from service.sheet.purse import PaidPurse, money

NONE = "-"


def numbers(heading: str, cells: Sequence[str]) -> Column:
    """Numbers, which stand to the right."""
    return Column(heading=heading, cells=tuple(cells), right=True)


def who(rows: Sequence[PanelRow | PlacingRow]) -> list[Column]:
    """The section where there are any, place, working-order number and back number of each row."""
    sections = [str(row.section) for row in rows if row.section is not None]
    return [
        *([numbers("Section", sections)] if sections else []),
        Column(heading="Place", cells=tuple(place_word(row.place, tied=row.tied) for row in rows)),
        numbers("Entry", [row.entry for row in rows]),
        numbers("Back", [str(row.back_number) for row in rows]),
    ]


def outcomes(kinds: Sequence[OutcomeKind | None]) -> list[Column]:
    """What rides were called instead of a normal score; no column where none was."""
    if not any(kinds):
        return []
    cells = tuple(outcome_word(kind) if kind else "" for kind in kinds)
    return [Column(heading="Outcome", cells=cells)]


def awarded(table: PointsTable | None, rows: Rows, called: Outcomes) -> list[Column]:
    """What each place earns by the table; no column without one."""
    if table is None:
        return []
    points = earned(table, rows, called)
    cells = [to_words(points[row.entry]) if row.entry in points else NONE for row in rows]
    return [numbers("Points", cells)]


def half_points(half: int | None) -> str:
    """Half points as a table has them."""
    return NONE if half is None else to_text(half)


def seconds(milliseconds: int | None) -> str:
    """A time as a table has it, to the thousandth."""
    if milliseconds is None:
        return NONE
    return f"{milliseconds // 1000}.{milliseconds % 1000:03}"


def paid(
    purse: PaidPurse | None, rows: Rows, seat: str | None, division: str | None = None
) -> list[Column]:
    """What a purse pays on the rows of the placing that it is for; no column on any other."""
    if purse is None or not purse.pays(seat, division):
        return []
    cells = [
        money(purse.cents.get(row.entry, 0)) if row.section == purse.section else "" for row in rows
    ]
    return [numbers("Prize", cells)] if any(cells) else []
