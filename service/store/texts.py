"""Free text beside the log: events hold its salted digest, so that it can be withheld later."""

import hashlib
import secrets
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from typing import NamedTuple

from sqlalchemy import Executable, insert, select, update

from events.envelope import TextRef
from service.store.engine import Database
from service.store.tables import text

SALT_BYTES = 32


class SealedText(NamedTuple):
    """A text with its salt, and the reference under which events name it."""

    ref: TextRef
    salt: bytes
    body: str


def seal(body: str) -> SealedText:
    """The text under a new salt; ``ValueError`` for what a database cannot hold."""
    if "\0" in body:
        raise ValueError("text cannot hold a NUL character")
    salt = secrets.token_bytes(SALT_BYTES)
    return SealedText(reference(salt, body), salt, body)


def reference(salt: bytes, body: str) -> TextRef:
    """SHA-256 over the salt and the UTF-8 text, in hexadecimal.

    Without the salt nobody can find out by trying whether a text said what they suppose.
    """
    return hashlib.sha256(salt + body.encode()).hexdigest()


def keeping(sealed: Sequence[SealedText]) -> tuple[Executable, ...]:
    """What to write beside the events that name these texts."""
    return (insert(text).values([each._asdict() for each in sealed]),) if sealed else ()


def bodies(database: Database, refs: Iterable[TextRef]) -> Mapping[TextRef, str | None]:
    """The texts by reference, ``None`` for one that is withheld; unknown ones are left out."""
    with database.reading() as connection:
        found = connection.execute(select(text.c.ref, text.c.body).where(text.c.ref.in_(set(refs))))
        return {row.ref: row.body for row in found}


def withhold(database: Database, ref: TextRef, *, now: datetime) -> bool:
    """Forget a text and its salt for good; whether there was one to forget."""
    with database.writing() as connection:
        changed = connection.execute(
            update(text)
            .where(text.c.ref == ref, text.c.withheld_at.is_(None))
            .values(salt=None, body=None, withheld_at=now)
        )
    database.scrub()
    return changed.rowcount == 1
