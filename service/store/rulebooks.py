"""The rule books that classes were held to, each kept once under its digest."""

import hashlib
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


def content_digest(content: bytes) -> str:
    """The digest of a book's canonical content."""
    return f"sha256:{hashlib.sha256(content).hexdigest()}"


def keeping(database: Database, book: KeptBook) -> tuple[Executable, ...]:
    """What to write beside the event that names the book; nothing happens if it is kept already.

    ``ValueError`` when the digest is not that of the content.
    """
    if content_digest(book.content) != book.digest:
        raise ValueError(f"digest: {book.digest} is not the digest of {book.id}")
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
