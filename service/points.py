"""The points tables that ship with the project."""

from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from types import MappingProxyType

from events.scoring.points.load import load_toml
from events.scoring.points.model import PointsTable


class NoSuchTable(LookupError):
    """A points table's id that no shipped table has."""

    def __init__(self, table_id: str, known: tuple[str, ...]) -> None:
        super().__init__(
            f"There is no points table `{table_id}` here; there are {', '.join(known)}."
        )
        self.table_id = table_id
        self.known = known


@cache
def shipped_tables() -> Mapping[str, PointsTable]:
    """Every points table that ships with the project, by id, in the order of ids."""
    texts = sorted(
        (entry.name, entry.read_text(encoding="utf-8"))
        for entry in files("events.rulebook").joinpath("points").iterdir()
        if entry.name.endswith(".toml")
    )
    tables = [load_toml(text) for _, text in texts]
    return MappingProxyType({table.id: table for table in tables})


def shipped_table(table_id: str) -> PointsTable:
    """The shipped points table of that id; ``NoSuchTable`` names the ids there are."""
    tables = shipped_tables()
    if table_id not in tables:
        raise NoSuchTable(table_id, tuple(tables))
    return tables[table_id]
