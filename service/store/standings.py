"""What standings are made from beside the lines: seasons, results, rules, and when they turned.

Awards are those of a season, under its id, or those of a show, under ``of_show``.
"""

from collections.abc import Collection, Iterable, Iterator
from datetime import datetime
from typing import NamedTuple

import msgspec
from sqlalchemy import Connection, Select, bindparam, delete, func, or_, select, update

from events.awards.rules import AwardRules
from events.envelope import RecordedEvent
from events.projections.result import ResultDocument
from service.store.earned_lines import Changed
from service.store.engine import Database
from service.store.log import Log
from service.store.standing_tables import (
    class_result,
    class_result_member,
    earned_line,
    registry_turn,
    season_award,
    season_mark,
    standing_turn,
)
from service.store.tables import event

NAME = "standings"
"""What the follower's mark is kept under."""

PAGE = 200
SHOW_MARK = "show:"
"""No season's id has a colon, so that no show is taken for one."""

_encode_rules = msgspec.json.Encoder().encode
_decode_rules = msgspec.json.Decoder(AwardRules).decode
_decode_document = msgspec.json.Decoder(ResultDocument).decode
_MADE_HERE = (
    season_mark, class_result, class_result_member, season_award, earned_line, standing_turn,
)  # fmt: skip


class Turn(msgspec.Struct, frozen=True, kw_only=True):
    """An event that changed an award, and how many of its lines came into force and ended."""

    award: str
    position: int
    recorded_at: datetime
    opened: int
    closed: int


class Tag(NamedTuple):
    """What a standing follows from: the event that it turned at last, and the names' own turn.

    ``position`` is 0 where an award has never been defined.
    """

    position: int
    names: int


def of_show(show: str) -> str:
    """What the awards of a show are kept under."""
    return f"{SHOW_MARK}{show}"


def clear(connection: Connection) -> None:
    """Forget everything that the follower makes anew."""
    for table in _MADE_HERE:
        connection.execute(delete(table))


# --- as the follower goes along -------------------------------------------------------------------


def mark_season(connection: Connection, season: str, version: int) -> None:
    """A season was carried forward to a version."""
    known = connection.execute(
        update(season_mark).where(season_mark.c.season == season).values(version=version)
    )
    if not known.rowcount:
        connection.execute(season_mark.insert().values(season=season, version=version))


def seasons(connection: Connection) -> list[tuple[str, int]]:
    """Every season, and the version to which it was carried forward; a show is none."""
    rows = connection.execute(select(season_mark).order_by(season_mark.c.season))
    marks = [(row.season, row.version) for row in rows]
    return [mark for mark in marks if not mark[0].startswith(SHOW_MARK)]


def show_version(connection: Connection, show: str) -> int:
    """The version to which a show's awards were carried forward; 0 where it has none."""
    wanted = select(season_mark.c.version).where(season_mark.c.season == of_show(show))
    return connection.scalar(wanted) or 0


def keep_result(connection: Connection, document: ResultDocument) -> None:
    """Keep official results of a class in place of those before."""
    name = document.class_id
    members = {each.exhibitor for each in document.entries}
    members |= {each.horse for each in document.entries if each.horse is not None}
    for table in (class_result, class_result_member):
        connection.execute(delete(table).where(table.c.class_id == name))
    connection.execute(
        class_result.insert().values(
            class_id=name,
            show_id=document.show,
            position=document.position,
            document=document.canonical(),
        )
    )
    rows = [{"member": member, "class_id": name} for member in sorted(members)]
    if rows:
        connection.execute(class_result_member.insert(), rows)


def results(
    connection: Connection,
    shows: Collection[str],
    *,
    class_id: str | None = None,
    member: str | None = None,
) -> Iterator[list[ResultDocument]]:
    """The last official results of the classes of these shows, some at a time.

    Of one class alone, or of those alone in which a rider or a horse was entered, where asked for.
    """
    wanted = select(class_result.c.class_id, class_result.c.document).where(
        class_result.c.show_id.in_(shows)
    )
    if class_id is not None:
        wanted = wanted.where(class_result.c.class_id == class_id)
    if member is not None:
        of = select(class_result_member.c.class_id).where(class_result_member.c.member == member)
        wanted = wanted.where(class_result.c.class_id.in_(of))
    wanted = wanted.where(class_result.c.class_id > bindparam("after"))
    paged = wanted.order_by(class_result.c.class_id).limit(PAGE)
    after = ""
    while page := connection.execute(paged, {"after": after}).all():
        yield [_decode_document(row.document) for row in page]
        after = page[-1].class_id


def define_award(connection: Connection, season: str, rules: AwardRules, *, at: int) -> None:
    """An award is reckoned by these rules from a position on."""
    end_award(connection, season, rules.award, at=at)
    connection.execute(
        season_award.insert().values(
            season=season, award=rules.award, valid_from=at, rules=_encode_rules(rules)
        )
    )


def end_award(connection: Connection, season: str, award: str, *, at: int) -> None:
    """An award is no longer reckoned, or not by the rules up to now."""
    connection.execute(
        update(season_award)
        .where(
            season_award.c.season == season,
            season_award.c.award == award,
            season_award.c.valid_until.is_(None),
        )
        .values(valid_until=at)
    )


def turned(
    connection: Connection, season: str, award: str, by: RecordedEvent, changed: Changed
) -> None:
    """An award or its lines changed by an event."""
    connection.execute(
        standing_turn.insert().values(
            season=season,
            award=award,
            position=by.position,
            recorded_at=by.recorded_at,
            opened=changed.opened,
            closed=changed.closed,
        )
    )


# --- reading --------------------------------------------------------------------------------------


def _last(*, bounded: bool) -> Select[tuple[int, int]]:
    position = select(func.coalesce(func.max(standing_turn.c.position), 0)).where(
        standing_turn.c.season == bindparam("season"), standing_turn.c.award == bindparam("award")
    )
    if bounded:
        position = position.where(standing_turn.c.position <= bindparam("at"))
    return select(position.scalar_subquery(), select(registry_turn.c.number).scalar_subquery())


_LAST = {bounded: _last(bounded=bounded) for bounded in (False, True)}


def tag(database: Database, season: str, award: str, *, at: int | None = None) -> Tag:
    """What the standing of an award follows from, at a position or now: one query."""
    bounds = {} if at is None else {"at": at}
    with database.reading() as connection:
        values = {"season": season, "award": award, **bounds}
        ((position, names),) = database.rows(connection, _LAST[at is not None], values)
    return Tag(position, names)


def rules_at(database: Database, season: str, award: str, position: int) -> AwardRules | None:
    """The rules of an award once the event at a position had happened; ``None`` if it had none."""
    wanted = select(season_award.c.rules).where(
        season_award.c.season == season,
        season_award.c.award == award,
        season_award.c.valid_from <= position,
        or_(season_award.c.valid_until.is_(None), season_award.c.valid_until > position),
    )
    with database.reading() as connection:
        raw = connection.scalar(wanted)
    return None if raw is None else _decode_rules(raw)


def turns(
    database: Database, season: str, after: tuple[int, str], limit: int, *, award: str | None
) -> tuple[Turn, ...]:
    """The turns of a season's awards beyond a position and award, in the order of the log."""
    position, name = after
    beyond = or_(
        standing_turn.c.position > position,
        (standing_turn.c.position == position) & (standing_turn.c.award > name),
    )
    columns = standing_turn.c["award", "position", "recorded_at", "opened", "closed"]
    wanted = select(*columns).where(standing_turn.c.season == season, beyond)
    if award is not None:
        wanted = wanted.where(standing_turn.c.award == award)
    wanted = wanted.order_by(standing_turn.c.position, standing_turn.c.award).limit(limit)
    with database.reading() as connection:
        return tuple(Turn(**row._asdict()) for row in connection.execute(wanted))


def position_by(database: Database, season: str, moment: datetime) -> int:
    """The last position at which anything of a season turned by a time; 0 before all of them."""
    wanted = select(func.coalesce(func.max(standing_turn.c.position), 0)).where(
        standing_turn.c.season == season, standing_turn.c.recorded_at <= moment
    )
    with database.reading() as connection:
        return connection.scalar(wanted) or 0


def events_at(log: Log, positions: Iterable[int]) -> dict[int, RecordedEvent]:
    """The events at these positions of the log."""
    wanted = select(event.c.position, event.c.bytes).where(event.c.position.in_(set(positions)))
    with log.database.reading() as connection:
        rows = connection.execute(wanted).all()
    return {row.position: log.codec.decode(row.bytes, row.position) for row in rows}


def recorded_at(database: Database, position: int) -> datetime | None:
    """When the event at a position was recorded; ``None`` when there is none yet."""
    with database.reading() as connection:
        return connection.scalar(select(event.c.recorded_at).where(event.c.position == position))
