"""Why a line earned what it earned, by the table that it was counted by."""

import msgspec

from events.projections.earned import EarnedLine
from events.scoring.exact import ordinal, to_words
from events.scoring.points.award import PlacePoints
from events.scoring.points.model import PointsTable


class PointsReason(msgspec.Struct, frozen=True, kw_only=True):
    """What each place that is held earns whoever holds it alone, and a sentence that sums it up."""

    places: tuple[PlacePoints, ...]
    says: str


def explained(line: EarnedLine, table: PointsTable) -> PointsReason:
    """The reason for a line's points; ``table`` is the one that the line names."""
    if line.title is not None:
        return PointsReason(places=(), says=f"{_champion(line, table)}.")
    silent = bool(table.sizes) and table.row_for(line.class_size) is None
    places = () if silent or line.place is None else _places(line, line.place, table)
    return PointsReason(places=places, says=f"{_standing(line)}: {_because(line, table, places)}.")


def _champion(line: EarnedLine, table: PointsTable) -> str:
    shared = f", shared by {line.shared_by}" if line.shared_by > 1 else ""
    won = f"{str(line.title).capitalize()} champion{shared}"
    rule = table.champions
    if rule is None or not rule.in_high_point:
        return f"{won}: champions' points do not count in this sum"
    if line.highest is None:
        return f"{won}: {to_words(line.points)}"
    return (
        f"{won}, above the {to_words(line.highest)} of the highest pointed class, "
        f"{line.highest_class}: {to_words(line.points)}"
    )


def _places(line: EarnedLine, place: int, table: PointsTable) -> tuple[PlacePoints, ...]:
    held = range(place, place + line.shared_by)
    return tuple(PlacePoints(place=p, points=table.at(p, line.class_size)) for p in held)


def _standing(line: EarnedLine) -> str:
    if line.place is None:
        return f"Shown without a place in a class of {line.class_size}"
    shared = f", shared by {line.shared_by}" if line.shared_by > 1 else ""
    return f"{ordinal(line.place)} in a class of {line.class_size}{shared}"


def _because(line: EarnedLine, table: PointsTable, places: tuple[PlacePoints, ...]) -> str:
    if table.sizes and table.row_for(line.class_size) is None:
        return f"the table says nothing of classes under {table.sizes[0].entries_from}"
    if line.outcome in table.earns_nothing:
        return f"{str(line.outcome).replace('_', ' ')} earns nothing"
    if line.shared_by > 1:
        alone = " + ".join(to_words(each.points) for each in places)
        return f"({alone}) / {line.shared_by} = {to_words(line.points)}"
    return to_words(line.points)
