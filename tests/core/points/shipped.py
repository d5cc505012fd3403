"""The points tables that ship with the project, and short forms for the tests."""

from collections.abc import Iterable, Mapping
from fractions import Fraction
from functools import cache
from importlib.resources import files

from events.scoring.points.award import ClassAwards, Entrant, award, size_of_class
from events.scoring.points.load import load_toml
from events.scoring.points.model import PointsTable


@cache
def shipped() -> Mapping[str, PointsTable]:
    folder = files("events.rulebook").joinpath("points")
    tables = [
        load_toml(entry.read_text(encoding="utf-8"))
        for entry in folder.iterdir()
        if entry.name.endswith(".toml")
    ]
    return {table.id: table for table in sorted(tables, key=lambda table: table.id)}


def entrants(places: Iterable[int]) -> list[Entrant]:
    """An entry for each place, named 001, 002 and so on."""
    return [Entrant(entry=f"{n:03}", place=place) for n, place in enumerate(places, start=1)]


def awards(table_id: str, shown: list[Entrant]) -> ClassAwards:
    table = shipped()[table_id]
    return award(table, size_of_class(table, shown), shown)


def points(table_id: str, shown: list[Entrant]) -> dict[str, Fraction]:
    return {row.entry: row.points for row in awards(table_id, shown).awards}


def straight(table_id: str, class_size: int) -> list[Fraction]:
    """What first to last place earn in a class of that size in which nobody ties."""
    return list(points(table_id, entrants(range(1, class_size + 1))).values())
