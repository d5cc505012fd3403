"""The rule books that classes were held to, each kept once under its digest."""

from typing import NamedTuple

from sqlalchemy import Executable, select
from sqlalchemy.dialects import postgresql, sqlite

from service.store.engine import Database
from service.store.tables import rulebook


class KeptBook(NamedTuple):
    """A rule book's canonical content, under the digest that a class is held to."""

    digest: str
    id: str
    edition: str
    content: bytes


def keeping(database: Database, book: KeptBook) -> tuple[Executable, ...]:
    """What to write beside the event that names the book; nothing happens if it is kept already."""
    insert = sqlite.insert if database.is_sqlite else postgresql.insert
    return (insert(rulebook).values(book._asdict()).on_conflict_do_nothing(),)


def find(database: Database, digest: str) -> KeptBook | None:
    """The book kept under a digest."""
    with database.reading() as connection:
        row = connection.execute(
            select(*rulebook.c["digest", "id", "edition", "content"]).where(
                rulebook.c.digest == digest
            )
        ).one_or_none()
    return None if row is None else KeptBook(*row)
