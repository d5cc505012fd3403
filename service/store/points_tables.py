"""The points tables that awards were counted by, each kept once under its digest."""

import hashlib
from typing import NamedTuple

from sqlalchemy import Executable, select
from sqlalchemy.dialects import postgresql, sqlite

from service.store.engine import Database
from service.store.standing_tables import points_table


class KeptTable(NamedTuple):
    """A points table's canonical content, under the digest that an award names."""

    digest: str
    id: str
    edition: str
    content: bytes


def keeping(database: Database, table: KeptTable) -> tuple[Executable, ...]:
    """What to write beside the event that names the table; nothing happens if it is kept already.

    ``ValueError`` when the digest is not that of the content.
    """
    if f"sha256:{hashlib.sha256(table.content).hexdigest()}" != table.digest:
        raise ValueError(f"digest: {table.digest} is not the digest of {table.id}")
    insert = sqlite.insert if database.is_sqlite else postgresql.insert
    return (insert(points_table).values(table._asdict()).on_conflict_do_nothing(),)


def find(database: Database, digest: str) -> KeptTable | None:
    """The table kept under a digest."""
    with database.reading() as connection:
        row = connection.execute(
            select(*points_table.c["digest", "id", "edition", "content"]).where(
                points_table.c.digest == digest
            )
        ).one_or_none()
    return None if row is None else KeptTable(*row)
