"""Points tables at the desk: those that ship, and those that awards are counted by."""

from functools import lru_cache

from events.awards.rules import PointsRef
from events.refusals import Refusal
from events.scoring.points.load import canonical, digest, from_canonical
from events.scoring.points.model import PointsTable
from service.points import shipped_tables
from service.store import points_tables
from service.store.engine import Database
from service.store.points_tables import KeptTable

REMEMBERED = 64
DIGEST_MARK = "sha256:"


class PointsTables:
    """The points tables of one database by digest; what a digest names never changes."""

    def __init__(self, database: Database) -> None:
        self._database = database
        self._by_digest = lru_cache(maxsize=REMEMBERED)(self._read)

    def kept_under(self, wanted: str) -> PointsTable:
        """The table of that digest; or a refusal."""
        return self._by_digest(wanted)

    def _read(self, wanted: str) -> PointsTable:
        kept = points_tables.find(self._database, wanted)
        if kept is not None:
            return from_canonical(kept.content)
        for table in shipped_tables().values():
            if digest(table) == wanted:
                return table
        raise Refusal(
            "unknown_points_table", f"No points table is kept under {wanted}.", digest=wanted
        )


def reference(table: PointsTable) -> PointsRef:
    """How the log names a table."""
    return PointsRef(id=table.id, edition=table.edition, digest=digest(table))


def kept(table: PointsTable) -> KeptTable:
    """The table as it is kept beside the log."""
    return KeptTable(digest(table), table.id, table.edition, canonical(table))


def named(tables: PointsTables, name: str) -> PointsTable:
    """The shipped table of that id, or the one kept under that digest; or a refusal."""
    if name.startswith(DIGEST_MARK):
        return tables.kept_under(name)
    table = shipped_tables().get(name)
    if table is None:
        known = ", ".join(shipped_tables())
        raise Refusal(
            "unknown_points_table",
            f"No points table {name} ships with Ringfold; these do: {known}.",
            name=name,
        )
    return table
