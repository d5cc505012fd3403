"""Work that leaves the database, from the transaction that calls for it until it is done.

A row is waiting until it is done or dead. Whoever takes a row up counts an attempt first and owns
it for a while: if nothing is heard of it by then, the row is due again. So a row that kills whoever
works on it is dead in the end as well.
"""

from collections.abc import Sequence
from datetime import datetime, timedelta

import msgspec
from sqlalchemy import ColumnElement, Connection, and_, delete, func, or_, select, update

from service.store.engine import Database
from service.store.ids import new_id
from service.store.work_tables import outbox

LONGEST_ERROR = 2000


class Work(msgspec.Struct, frozen=True, kw_only=True):
    """A row that was taken up, for the ``attempts``-th time."""

    id: str
    kind: str
    key: str
    owner: str | None
    payload: str
    attempts: int


class Failed(msgspec.Struct, frozen=True, kw_only=True):
    """A row that nobody will try again unless asked to."""

    id: str
    kind: str
    key: str
    owner: str | None
    created_at: datetime
    attempts: int
    last_error: str | None
    dead_at: datetime


class Depth(msgspec.Struct, frozen=True, kw_only=True):
    """How many rows are due, waiting for their time, held back and dead; the age of the oldest due.

    ``oldest_due`` is in seconds, 0 when nothing is due.
    """

    due: int
    later: int
    held: int
    dead: int
    oldest_due: float


_UNDONE = and_(outbox.c.done_at.is_(None), outbox.c.dead_at.is_(None))
_WAITING = and_(_UNDONE, outbox.c.held_at.is_(None))


def put(
    connection: Connection,
    *,
    kind: str,
    key: str,
    payload: str,
    now: datetime,
    owner: str | None = None,
    held: bool = False,
) -> None:
    """Ask for work in the transaction that calls for it; ``key`` names it, once for ever.

    ``owner`` is whom it is for, so that all of theirs can be held back or taken back.
    """
    connection.execute(
        outbox.insert().values(
            id=new_id(),
            kind=kind,
            key=key,
            owner=owner,
            payload=payload,
            created_at=now,
            due_at=now,
            attempts=0,
            held_at=now if held else None,
        )
    )


def offer(
    database: Database, *, now: datetime, limit: int, again_after: timedelta
) -> tuple[str, ...]:
    """The ids of rows that are due and were offered to nobody lately, the longest due first."""
    open_to_offer = and_(
        _WAITING,
        outbox.c.due_at <= now,
        or_(outbox.c.offered_at.is_(None), outbox.c.offered_at <= now - again_after),
    )
    found = select(outbox.c.id).where(open_to_offer).order_by(outbox.c.due_at).limit(limit)
    with database.reading() as connection:
        if connection.scalar(found.limit(1)) is None:  # the usual case writes nothing
            return ()
    with database.writing() as connection:
        # What somebody else is just settling or offering is left to them.
        ids = connection.scalars(found.with_for_update(skip_locked=True)).all()
        connection.execute(update(outbox).where(outbox.c.id.in_(ids)).values(offered_at=now))
    return tuple(ids)


def claim(database: Database, identifier: str, *, now: datetime, lease: timedelta) -> Work | None:
    """Take a row up if it is due, and own it until the lease runs out."""
    with database.writing() as connection:
        row = connection.execute(
            update(outbox)
            .where(outbox.c.id == identifier, _WAITING, outbox.c.due_at <= now)
            .values(attempts=outbox.c.attempts + 1, due_at=now + lease)
            .returning(*outbox.c["id", "kind", "key", "owner", "payload", "attempts"])
        ).one_or_none()
    return None if row is None else Work(**row._asdict())


def finish(connection: Connection, work: Work, *, now: datetime) -> bool:
    """Mark the row done, in the transaction of its effect; whether it was still ours to finish."""
    return _settle(connection, work, done_at=now, last_error=None)


def postpone(connection: Connection, work: Work, *, until: datetime, error: str) -> bool:
    """Let the row be tried again from a time on; whether it was still ours."""
    kept = error[:LONGEST_ERROR]
    return _settle(connection, work, due_at=until, offered_at=None, last_error=kept)


def bury(connection: Connection, work: Work, *, error: str, now: datetime) -> bool:
    """Give the row up, until somebody asks for it again; whether it was still ours."""
    return _settle(connection, work, dead_at=now, last_error=error[:LONGEST_ERROR])


def run_again(database: Database, identifier: str, *, now: datetime) -> bool:
    """Let a dead row be tried from the beginning; whether there was such a row."""
    with database.writing() as connection:
        return _revive(connection, outbox.c.id == identifier, now) == 1


def hold(connection: Connection, owner: str, *, now: datetime) -> None:
    """Hold back everything that waits for an owner."""
    connection.execute(update(outbox).where(outbox.c.owner == owner, _WAITING).values(held_at=now))


def release(connection: Connection, owner: str, *, now: datetime) -> int:
    """Let everything held back or dead for an owner be tried from the beginning; how much."""
    held = and_(outbox.c.owner == owner, _UNDONE, outbox.c.held_at.is_not(None))
    freed = connection.execute(update(outbox).where(held).values(_fresh(now)))
    return freed.rowcount + _revive(connection, outbox.c.owner == owner, now)


def take_back(connection: Connection, owner: str) -> int:
    """Forget everything not done for an owner; how much."""
    gone = delete(outbox).where(outbox.c.owner == owner, outbox.c.done_at.is_(None))
    return connection.execute(gone).rowcount


def undone_payloads(connection: Connection, owner: str) -> Sequence[str]:
    """What an owner still waits for, dead rows included."""
    undone = select(outbox.c.payload).where(outbox.c.owner == owner, outbox.c.done_at.is_(None))
    return connection.scalars(undone).all()


def failed(database: Database, *, limit: int = 100) -> tuple[Failed, ...]:
    """The dead, the latest first."""
    names = ("id", "kind", "key", "owner", "created_at", "attempts", "last_error", "dead_at")
    dead = (
        select(*outbox.c[names])
        .where(outbox.c.dead_at.is_not(None))
        .order_by(outbox.c.dead_at.desc(), outbox.c.id)
        .limit(limit)
    )
    with database.reading() as connection:
        return tuple(Failed(**row._asdict()) for row in connection.execute(dead))


def depth(database: Database, *, now: datetime) -> Depth:
    """How much there is to do."""
    with database.reading() as connection:
        due = connection.execute(
            select(func.count(), func.min(outbox.c.due_at)).where(_WAITING, outbox.c.due_at <= now)
        ).one()
        later, held, dead = (
            _count(connection, which)
            for which in (
                and_(_WAITING, outbox.c.due_at > now),
                and_(_UNDONE, outbox.c.held_at.is_not(None)),
                outbox.c.dead_at.is_not(None),
            )
        )
    count, oldest = due
    age = (now - oldest).total_seconds() if oldest else 0.0
    return Depth(due=count, later=later, held=held, dead=dead, oldest_due=age)


def forget_done(database: Database, *, before: datetime) -> int:
    """Remove rows that were done before a time; how many."""
    with database.writing() as connection:
        return connection.execute(delete(outbox).where(outbox.c.done_at < before)).rowcount


def _settle(connection: Connection, work: Work, **values: object) -> bool:
    # Whoever took the row up after our lease ran out has counted an attempt of their own.
    ours = and_(outbox.c.id == work.id, outbox.c.attempts == work.attempts, _UNDONE)
    return connection.execute(update(outbox).where(ours).values(values)).rowcount == 1


def _revive(connection: Connection, which: ColumnElement[bool], now: datetime) -> int:
    dead = update(outbox).where(which, outbox.c.dead_at.is_not(None))
    return connection.execute(dead.values(_fresh(now))).rowcount


def _fresh(now: datetime) -> dict[str, object]:
    return {"attempts": 0, "due_at": now, "offered_at": None, "held_at": None, "dead_at": None}


def _count(connection: Connection, which: ColumnElement[bool]) -> int:
    return connection.execute(select(func.count()).select_from(outbox).where(which)).scalar_one()
