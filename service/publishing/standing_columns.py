"""What standings hold as a table."""

import msgspec

from events.awards.rules import Carrier
from events.projections.earned import pair_of
from events.projections.standings import StandingRow
from events.scoring.exact import to_plain, to_words
from service.desk.names import Names
from service.publishing.tables import Column, Table


class Line(msgspec.Struct, frozen=True):
    """A row of standings with the names in it."""

    row: StandingRow
    carrier: Carrier
    names: Names

    @property
    def rider(self) -> str | None:
        """The id of the rider who carries the points, alone or with a horse."""
        return pair_of(self.carrier, self.row.carrier)[0]

    @property
    def horse(self) -> str | None:
        """The id of the horse that carries the points, alone or with a rider."""
        return pair_of(self.carrier, self.row.carrier)[1]


def _rider(line: Line) -> str | None:
    return None if line.rider is None else line.names.person(line.rider)


def _horse(line: Line) -> str | None:
    return None if line.horse is None else line.names.horse(line.horse)


def _categories(line: Line) -> str:
    points = line.row.categories.items()
    return "; ".join(f"{name} {to_words(points)}" for name, points in points)


STANDINGS: Table[Line] = Table(
    name="standings",
    title="Standings of an award, a row for each that carries points",
    key=("carrier",),
    columns=(
        Column("place", "integer", "The place.", lambda x: x.row.place, optional=True),
        Column("tied", "boolean", "Whether the place is shared.", lambda x: x.row.tied),
        Column("carrier", "string", "Who carries the points.", lambda x: x.row.carrier),
        Column("rider_id", "string", "Id of the rider.", lambda x: x.rider, optional=True),
        Column("rider", "string", "The rider.", _rider, optional=True),
        Column("horse_id", "string", "Id of the horse.", lambda x: x.horse, optional=True),
        Column("horse", "string", "The horse.", _horse, optional=True),
        Column("points", "number", "Points.", lambda x: f"{to_plain(x.row.points)}"),
        Column("exact", "string", "The same as a fraction.", lambda x: str(x.row.points)),
        Column("shows", "integer", "At how many shows.", lambda x: x.row.shows),
        Column("judges", "integer", "Under how many judges.", lambda x: x.row.judges),
        Column("categories", "string", "Points of each category.", _categories),
        Column(
            "missing",
            "string",
            "Which minimums are missing.",
            lambda x: "; ".join(x.row.missing),
            optional=True,
        ),
        Column(
            "parted_by",
            "string",
            "What parted equal points.",
            lambda x: x.row.parted_by,
            optional=True,
        ),
    ),
)


class AwardLine(msgspec.Struct, frozen=True):
    """A row of one award of a show."""

    award: str
    name: str
    line: Line


def _of_line(column: Column[Line]) -> Column[AwardLine]:
    return Column(
        column.name,
        column.type,
        column.says,
        lambda x: column.cell(x.line),
        optional=column.optional,
    )


AWARDS: Table[AwardLine] = Table(
    name="awards",
    title="The awards of the show, a row for each that carries points in one",
    key=("award", "carrier"),
    columns=(
        Column("award", "string", "Id of the award.", lambda x: x.award),
        Column("name", "string", "The award.", lambda x: x.name),
        *map(_of_line, STANDINGS.columns),
        Column("classes", "integer", "In how many classes.", lambda x: x.line.row.classes),
        Column(
            "settled",
            "integer",
            "The event of the show that settled the tie.",
            lambda x: x.line.row.settled,
            optional=True,
        ),
    ),
)
