"""How far each follower of the log has come, kept beside the rows that it writes."""

from datetime import datetime

import msgspec
from sqlalchemy import Connection, select, update
from sqlalchemy.dialects import postgresql, sqlite

from service.store.engine import Database
from service.store.errors import StoreError
from service.store.work_tables import follower

LONGEST_ERROR = 2000


class Mark(msgspec.Struct, frozen=True, kw_only=True):
    """Up to which position a follower has handled every event, in which version of itself.

    ``error`` is what happened at ``error_position``, the event that it cannot get past; ``None``
    while nothing is wrong.
    """

    name: str
    version: int
    position: int
    moved_at: datetime
    error: str | None = None
    error_position: int | None = None
    error_at: datetime | None = None


class UnknownFollower(StoreError):
    """No follower of that name has ever been started on this database."""

    def __init__(self, name: str) -> None:
        super().__init__(f"no follower is called {name}")
        self.name = name


def register(database: Database, name: str, version: int, *, now: datetime) -> None:
    """Let the follower begin at the beginning of the log, unless it is known already."""
    fresh = {"name": name, "version": version, "position": 0, "moved_at": now}
    insert_or_not = sqlite.insert if database.is_sqlite else postgresql.insert
    with database.writing() as connection:
        connection.execute(insert_or_not(follower).values(fresh).on_conflict_do_nothing())


def marks(database: Database) -> tuple[Mark, ...]:
    """Every follower's mark, by name."""
    with database.reading() as connection:
        rows = connection.execute(select(follower).order_by(follower.c.name))
        return tuple(Mark(**row._asdict()) for row in rows)


def mark(database: Database, name: str) -> Mark:
    """A follower's mark; ``UnknownFollower`` where it was never registered."""
    with database.reading() as connection:
        return _mark(connection, name, lock=False)


def locked(connection: Connection, name: str) -> Mark:
    """The same, kept from moving until the transaction ends: SQLite's lock is on the database."""
    return _mark(connection, name, lock=True)


def lock_every(connection: Connection) -> None:
    """Keep every follower from moving until the transaction ends."""
    connection.execute(select(follower.c.name).order_by(follower.c.name).with_for_update())


def move(connection: Connection, name: str, to: int, *, now: datetime) -> None:
    """The follower has handled every event up to a position."""
    _set(
        connection, name, position=to, moved_at=now, error=None, error_position=None, error_at=None
    )


def restart(connection: Connection, name: str, version: int, *, now: datetime) -> None:
    """The follower begins again, in this version of itself."""
    connection.execute(update(follower).where(follower.c.name == name).values(version=version))
    move(connection, name, 0, now=now)


def record_error(
    database: Database, name: str, position: int, error: str, *, now: datetime
) -> bool:
    """Keep what went wrong at a position, if the follower is still before it; whether it is news.

    The first time of the same error at the same position is the one that is kept.
    """
    kept = error[:LONGEST_ERROR]
    with database.writing() as connection:
        mark = locked(connection, name)
        known = (mark.error_position, mark.error) == (position, kept)
        if known or mark.position >= position:
            return False
        _set(connection, name, error=kept, error_position=position, error_at=now)
        return True


def _set(connection: Connection, name: str, **values: object) -> None:
    connection.execute(update(follower).where(follower.c.name == name).values(values))


def _mark(connection: Connection, name: str, *, lock: bool) -> Mark:
    wanted = select(follower).where(follower.c.name == name)
    row = connection.execute(wanted.with_for_update() if lock else wanted).one_or_none()
    if row is None:
        raise UnknownFollower(name)
    return Mark(**row._asdict())
