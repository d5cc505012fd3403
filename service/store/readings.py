"""Readings of results by scribes whose card was not signed yet, as the audit wants them."""

from datetime import datetime

import msgspec
from sqlalchemy import insert, select

from service.store.engine import Database
from service.store.reading_tables import reading


class KeptReading(msgspec.Struct, frozen=True, kw_only=True):
    """That a key read the results of a class, at a version, by the server's clock."""

    class_id: str
    seat: str
    key: str
    version: int
    read_at: datetime


def note(database: Database, read: KeptReading) -> None:
    """Keep one reading."""
    with database.writing() as connection:
        connection.execute(
            insert(reading).values(
                class_id=read.class_id,
                seat=read.seat,
                key_id=read.key,
                version=read.version,
                read_at=read.read_at,
            )
        )


def of_class(database: Database, class_id: str) -> tuple[KeptReading, ...]:
    """The readings of one class, oldest first."""
    wanted = select(reading).where(reading.c.class_id == class_id).order_by(reading.c.id)
    with database.reading() as connection:
        rows = connection.execute(wanted).all()
    return tuple(
        KeptReading(
            class_id=row.class_id,
            seat=row.seat,
            key=row.key_id,
            version=row.version,
            read_at=row.read_at,
        )
        for row in rows
    )
