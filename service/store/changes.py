"""What outsiders follow: what happened, what was published of it, and standings that moved.

Publications and standings appear behind the log, so nothing is told beyond the position that every
follower has come to: whatever is told later lies beyond what was told before.
"""

from collections.abc import Collection
from datetime import datetime

import msgspec
from sqlalchemy import ColumnElement, exists, false, func, or_, select

from events.envelope import RecordedEvent
from service.store.engine import Database
from service.store.log import Log
from service.store.standing_tables import standing_turn
from service.store.standings import SHOW_MARK, of_show
from service.store.tables import event
from service.store.work_tables import follower, publication

_OF_SHOWS = standing_turn.c.season.like(f"{SHOW_MARK}%")
PUBLICATIONS = "publications"
"""The follower without which nothing is told."""


class PublishedAt(msgspec.Struct, frozen=True, kw_only=True):
    """A revision that was published of the event at a position; ``first`` of its class, or not.

    Results may be posted more than once before they are official: the first need not be number 1.
    """

    position: int
    show_id: str
    class_id: str
    revision: int
    official_at: datetime
    first: bool


class MovedAt(msgspec.Struct, frozen=True, kw_only=True):
    """A season, or a show, some of whose standings moved by the event at a position."""

    position: int
    recorded_at: datetime
    season: str | None = None
    show: str | None = None


def horizon(database: Database) -> int:
    """The position up to which every follower has come; 0 before one has published anything."""
    marks = select(
        func.min(follower.c.position), func.count().filter(follower.c.name == PUBLICATIONS)
    )
    with database.reading() as connection:
        least, publishing = connection.execute(marks).one()
    return least if publishing else 0


def published(
    database: Database, after: int, to: int, limit: int, *, show: str | None
) -> tuple[PublishedAt, ...]:
    """What was published of the events beyond a position up to another, in their order."""
    named = publication.c["position", "show_id", "class_id", "revision", "official_at"]
    earlier = publication.alias()
    superseding = exists().where(
        earlier.c.class_id == publication.c.class_id, earlier.c.revision < publication.c.revision
    )
    wanted = select(*named, (~superseding).label("first")).where(
        publication.c.position > after, publication.c.position <= to
    )
    if show is not None:
        wanted = wanted.where(publication.c.show_id == show)
    with database.reading() as connection:
        rows = connection.execute(wanted.order_by(publication.c.position).limit(limit)).all()
    return tuple(PublishedAt(**row._asdict()) for row in rows)


def moved(
    database: Database, after: int, to: int, limit: int, *, seasons: bool, shows: bool | str
) -> tuple[MovedAt, ...]:
    """What so many events beyond a position up to another moved, in their order.

    Seasons, or shows, or both; ``shows`` may be one show's id.
    """
    turned = standing_turn.c
    whose: list[ColumnElement[bool]] = [~_OF_SHOWS] if seasons else []
    if shows:
        whose.append(turned.season == of_show(shows) if isinstance(shows, str) else _OF_SHOWS)
    between = (turned.position > after, turned.position <= to, or_(false(), *whose))
    positions = (
        select(turned.position).where(*between).distinct().order_by(turned.position).limit(limit)
    )
    wanted = (
        select(turned.position, turned.season, turned.recorded_at)
        .where(turned.position.in_(positions.scalar_subquery()), or_(false(), *whose))
        .distinct()
        .order_by(turned.position, turned.season)
    )
    with database.reading() as connection:
        rows = connection.execute(wanted).all()
    return tuple(_moved_at(row.position, row.season, row.recorded_at) for row in rows)


def _moved_at(position: int, owner: str, recorded_at: datetime) -> MovedAt:
    show = owner.removeprefix(SHOW_MARK)
    if show == owner:
        return MovedAt(position=position, recorded_at=recorded_at, season=owner)
    return MovedAt(position=position, recorded_at=recorded_at, show=show)


def happened(
    log: Log,
    after: int,
    to: int,
    limit: int,
    *,
    types: Collection[str],
    streams: Collection[str] | None = None,
) -> tuple[RecordedEvent, ...]:
    """The events of certain types beyond a position up to another; of all streams or of some."""
    wanted = select(event.c.bytes, event.c.position).where(
        event.c.position > after, event.c.position <= to, event.c.type.in_(types)
    )
    if streams is not None:
        wanted = wanted.where(event.c.stream.in_(streams))
    with log.database.reading() as connection:
        rows = connection.execute(wanted.order_by(event.c.position).limit(limit)).all()
    return tuple(log.codec.decode(raw, position) for raw, position in rows)
