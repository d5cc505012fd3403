"""What official results earned in the awards of seasons, each line while it is in force.

A line is in force from the position of the event that brought it up to, and without, that of the
event that ended it.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from fractions import Fraction
from typing import Any, NamedTuple

import msgspec
from sqlalchemy import ColumnElement, Connection, bindparam, delete, or_, select, update

from events.projections.earned import EarnedLine
from service.store.engine import Database
from service.store.standing_tables import earned_line as table

Name = tuple[str, str, str, str]
"""Class, division, seat and entry, which name a line within an award."""

_NAME = table.c["class_id", "division", "seat", "entry"]
_encode = msgspec.json.Encoder(enc_hook=str).encode


def _fraction(kind: type, value: object) -> Fraction:
    assert kind is Fraction  # noqa: S101 - the only part of a line that JSON does not know
    return Fraction(str(value))


_decode = msgspec.json.Decoder(EarnedLine, dec_hook=_fraction).decode
_AT = (
    select(table.c.line)
    .where(table.c.season == bindparam("season"), table.c.award == bindparam("award"))
    .where(table.c.valid_from <= bindparam("at"))
    .where(or_(table.c.valid_until.is_(None), table.c.valid_until > bindparam("at")))
)


class Changed(NamedTuple):
    """How many lines came into force, and how many ended."""

    opened: int
    closed: int

    def __add__(self, other: tuple[int, ...]) -> "Changed":  # type: ignore[override]  # sums, not joins
        opened, closed = other
        return Changed(self.opened + opened, self.closed + closed)


NOTHING = Changed(0, 0)


def put(
    connection: Connection,
    season: str,
    award: str,
    classes: Collection[str],
    lines: Iterable[EarnedLine],
    *,
    at: int,
) -> Changed:
    """Let exactly these lines be in force for some classes in an award, from a position on."""
    known = _in_force(connection, season, award, classes)
    wanted = {line.name: _encode(line) for line in lines}
    ended = [name for name, raw in known.items() if wanted.get(name) != raw]
    begun = {name: raw for name, raw in wanted.items() if known.get(name) != raw}
    _end(connection, season, award, ended, at)
    _begin(connection, season, award, begun, at)
    return Changed(len(begun), len(ended))


def end_all(connection: Connection, season: str, award: str, *, at: int) -> Changed:
    """Let no line of an award be in force from a position on."""
    ended = connection.execute(update(table).where(*_open(season, award)).values(valid_until=at))
    return Changed(0, ended.rowcount)


def clear(connection: Connection) -> None:
    """Forget every line."""
    connection.execute(delete(table))


def at(database: Database, season: str, award: str, position: int) -> tuple[EarnedLine, ...]:
    """The lines that were in force in an award once the event at a position had happened."""
    values = {"season": season, "award": award, "at": position}
    with database.reading() as connection:
        rows = database.rows(connection, _AT, values)
    return tuple(_decode(raw) for (raw,) in rows)


def _open(season: str, award: str) -> tuple[ColumnElement[bool], ...]:
    return table.c.season == season, table.c.award == award, table.c.valid_until.is_(None)


def _in_force(
    connection: Connection, season: str, award: str, classes: Collection[str]
) -> Mapping[Name, bytes]:
    wanted = select(*_NAME, table.c.line).where(
        *_open(season, award), table.c.class_id.in_(classes)
    )
    return {(row[0], row[1], row[2], row[3]): row[4] for row in connection.execute(wanted)}


def _end(connection: Connection, season: str, award: str, names: Sequence[Name], at: int) -> None:
    if not names:
        return
    named = [column == bindparam(f"b_{column.name}") for column in _NAME]
    ending = update(table).where(*_open(season, award), *named).values(valid_until=at)
    keys = [f"b_{column.name}" for column in _NAME]
    connection.execute(ending, [dict(zip(keys, name, strict=True)) for name in names])


def _begin(
    connection: Connection, season: str, award: str, lines: Mapping[Name, bytes], at: int
) -> None:
    if not lines:
        return
    rows: list[dict[str, Any]] = [
        {
            "season": season,
            "award": award,
            "class_id": name[0],
            "division": name[1],
            "seat": name[2],
            "entry": name[3],
            "valid_from": at,
            "line": raw,
        }
        for name, raw in lines.items()
    ]
    connection.execute(table.insert(), rows)
