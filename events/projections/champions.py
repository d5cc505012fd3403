"""Grand and reserve champions: what a class that names them earns its first two in an award."""

from collections.abc import Iterable, Mapping
from fractions import Fraction

import msgspec

from events.awards.rules import AwardRules
from events.projections.earned import EarnedLine, Title
from events.scoring.points.award import champion_points
from events.scoring.points.model import PointsTable

TITLES: Mapping[int, Title] = {1: "grand", 2: "reserve"}
Where = tuple[str, str]
"""A show and a category: champions are those of a category at one show."""


def with_champions(
    rules: AwardRules, table: PointsTable, lines: Iterable[EarnedLine]
) -> tuple[EarnedLine, ...]:
    """The lines, those of champions with their points on top of the highest pointed class.

    The highest pointed class of a category is that in which a line earned most. Champions who share
    a place share the points of the places they hold. Where the table keeps them out of the
    high-point sum they earn nothing here.
    """
    known = tuple(lines)
    crowning = {class_id for category in rules.categories for class_id in category.champions}
    if table.champions is None or not crowning:
        return known
    highest: dict[Where, EarnedLine] = {}
    for line in sorted(known, key=lambda line: (-line.points, line.position, *line.name)):
        if line.class_id not in crowning:
            highest.setdefault(_where(line), line)
    return tuple(
        _crowned(line, table, highest.get(_where(line))) if line.class_id in crowning else line
        for line in known
    )


def _where(line: EarnedLine) -> Where:
    return line.show, line.category


def _crowned(line: EarnedLine, table: PointsTable, over: EarnedLine | None) -> EarnedLine:
    title = TITLES.get(line.place or 0)
    rule = table.champions
    if title is None or rule is None:
        return line
    base = Fraction(0) if over is None else over.points
    above = over if rule.above_highest else None
    grand, reserve = champion_points(table, base) or (Fraction(0), Fraction(0))
    worth = {1: grand, 2: reserve}
    held = range(line.place or 1, (line.place or 1) + line.shared_by)
    share = sum((worth.get(place, Fraction(0)) for place in held), Fraction(0)) / line.shared_by
    return msgspec.structs.replace(
        line,
        points=share if rule.in_high_point else Fraction(0),
        title=title,
        highest=None if above is None else above.points,
        highest_class=None if above is None else above.class_name,
    )
