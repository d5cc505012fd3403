"""Checkpoints as they were signed: every one once, and never changed."""

from collections.abc import Iterator
from datetime import datetime

import msgspec
from sqlalchemy import Connection, Select, insert, select

from service.store.engine import Database
from service.store.trust_tables import checkpoint


class SignedCheckpoint(msgspec.Struct, frozen=True, kw_only=True):
    """A checkpoint of the log of that origin over its first ``size`` events, and when it was made.

    ``note`` is the signed note (C2SP tlog-checkpoint), ``root`` the root hash that it names.
    """

    origin: str
    size: int
    root: bytes
    note: bytes
    signed_at: datetime


def keep(connection: Connection, signed: SignedCheckpoint) -> None:
    """Keep a checkpoint that was signed; the database refuses a second one of that size."""
    connection.execute(insert(checkpoint), msgspec.structs.asdict(signed))


def newest(connection: Connection, origin: str) -> SignedCheckpoint | None:
    """The checkpoint of a log over the most events."""
    largest = _of(origin).order_by(checkpoint.c.size.desc()).limit(1)
    return next(_read(connection, largest), None)


def covering(connection: Connection, origin: str, position: int) -> SignedCheckpoint | None:
    """The first checkpoint of a log over the event at a position."""
    smallest = _of(origin).where(checkpoint.c.size >= position).order_by(checkpoint.c.size)
    return next(_read(connection, smallest.limit(1)), None)


def all_of(database: Database, origin: str) -> tuple[SignedCheckpoint, ...]:
    """Every checkpoint of a log, in the order of their sizes."""
    with database.reading() as connection:
        return tuple(_read(connection, _of(origin).order_by(checkpoint.c.size)))


def _of(origin: str) -> Select[tuple[object, ...]]:
    return select(checkpoint).where(checkpoint.c.origin == origin)


def _read(connection: Connection, wanted: Select[tuple[object, ...]]) -> Iterator[SignedCheckpoint]:
    rows = connection.execute(wanted).all()
    return (SignedCheckpoint(**row._asdict()) for row in rows)
