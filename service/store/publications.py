"""Official results as they were published: every revision once, and never changed."""

from collections.abc import Iterator
from datetime import datetime

import msgspec
from sqlalchemy import Connection, Select, func, select

from service.store.engine import Database
from service.store.work_tables import publication

PAGE = 100


class Publication(msgspec.Struct, frozen=True, kw_only=True):
    """One revision of a class's official results.

    ``document`` is the bytes that ``note`` signs. ``version`` and ``position`` are those of the
    event that made the results official, and ``checkpoint`` is the number of events under a
    checkpoint that covers it.
    """

    class_id: str
    revision: int
    show_id: str
    version: int
    position: int
    document: bytes
    note: bytes
    checkpoint: int
    official_at: datetime
    published_at: datetime


def insert(connection: Connection, added: Publication) -> None:
    """Publish a revision; the database refuses one that was published already."""
    connection.execute(publication.insert().values(msgspec.structs.asdict(added)))


def published_at_position(connection: Connection, position: int) -> Publication | None:
    """What was published of the event at a position."""
    row = connection.execute(
        select(publication).where(publication.c.position == position)
    ).one_or_none()
    return None if row is None else Publication(**row._asdict())


def find(database: Database, class_id: str, revision: int | None = None) -> Publication | None:
    """That revision of a class, or its newest."""
    wanted = select(publication).where(publication.c.class_id == class_id)
    if revision is not None:
        wanted = wanted.where(publication.c.revision == revision)
    newest = wanted.order_by(publication.c.revision.desc()).limit(1)
    return next(_read(database, newest), None)


def of_class(database: Database, class_id: str) -> tuple[Publication, ...]:
    """Every revision of a class, oldest first."""
    wanted = select(publication).where(publication.c.class_id == class_id)
    return tuple(_read(database, wanted.order_by(publication.c.revision)))


def since(
    database: Database, after: int, limit: int, *, show_id: str | None = None
) -> tuple[Publication, ...]:
    """What was published of the events beyond a position, in their order.

    Publications appear in the order of positions, so a reader who goes on from the last position
    it saw never misses one.
    """
    wanted = select(publication).where(publication.c.position > after)
    if show_id is not None:
        wanted = wanted.where(publication.c.show_id == show_id)
    return tuple(_read(database, wanted.order_by(publication.c.position).limit(limit)))


def of_show(database: Database, show_id: str) -> Iterator[Publication]:
    """Every revision of every class of a show, in the order of the log, read page by page."""
    after = 0
    while page := since(database, after, PAGE, show_id=show_id):
        yield from page
        after = page[-1].position


def last_position(database: Database, show_id: str) -> int:
    """The position of the newest publication of a show, 0 when it has none.

    Whatever is made of the show's publications is the same while this is.
    """
    last = select(func.coalesce(func.max(publication.c.position), 0))
    with database.reading() as connection:
        return connection.scalar(last.where(publication.c.show_id == show_id)) or 0


def _read(database: Database, wanted: Select[tuple[object, ...]]) -> Iterator[Publication]:
    with database.reading() as connection:
        rows = connection.execute(wanted).all()
    return (Publication(**row._asdict()) for row in rows)
