"""Points tables in: the author's TOML or JSON, and the digest under which a table is recorded.

A table is loaded whole or refused whole, with all its faults (``RuleBookRefused``).
"""

import hashlib
from collections.abc import Iterator
from itertools import pairwise
from typing import Any, cast

import msgspec

from events.half_points import to_text
from events.rulebook.fault import Path
from events.rulebook.load import LineOf, parse_toml, refusal, written
from events.rulebook.read import Reading, read
from events.scoring.points.model import BeatenRule, ChampionRule, PointsTable, SizeRow

_SHAPE = cast("msgspec.inspect.StructType", msgspec.inspect.type_info(PointsTable))
_INLINE = {
    "id": "inline",
    "edition": "1",
    "title": "Points of this sheet",
    "source": "the show's own",
}
_Found = Iterator[tuple[Path, str]]


def load_toml(text: str) -> PointsTable:
    """The points table that a TOML text holds; ``RuleBookRefused`` with the lines at fault."""
    return _load(*parse_toml(text))


def load_json(document: object) -> PointsTable:
    """The points table in a decoded JSON document, with the same keys as the TOML form."""
    return _load(document, lambda _: None)


def load_inline(document: object) -> PointsTable:
    """A table or formula given with a class: as ``load_json``, but it need not name itself."""
    return load_json({**_INLINE, **document} if isinstance(document, dict) else document)


def to_document(table: PointsTable) -> dict[str, Any]:
    """The keys and values an author would write, points as plain numbers, defaults left out."""
    return written(table, _SHAPE)


def digest(table: PointsTable) -> str:
    """The SHA-256 digest of a table's sorted JSON, which is recorded with every award."""
    return f"sha256:{hashlib.sha256(canonical(table)).hexdigest()}"


def canonical(table: PointsTable) -> bytes:
    """The bytes that are kept under the digest."""
    return msgspec.json.encode(table, order="sorted")


def from_canonical(content: bytes) -> PointsTable:
    """The table that was kept as these bytes."""
    return msgspec.json.decode(content, type=PointsTable)


def _load(document: object, line_of: LineOf) -> PointsTable:
    reading = read(document, _SHAPE)
    found = [*reading.faults, *_incoherences(reading)]
    table = reading.at((), PointsTable)
    if table is None or found:
        raise refusal(found, line_of)
    return table


def _incoherences(reading: Reading) -> _Found:
    for check in (_awards_something, _sizes, _points, _beaten, _participation, _champions):
        yield from check(reading)


def _awards_something(reading: Reading) -> _Found:
    table = reading.at((), PointsTable)
    if table is not None and not table.sizes and table.beaten is None:
        yield (), "A points table lists points in `sizes`, or has a rule in `beaten`, or both."


def _sizes(reading: Reading) -> _Found:
    for (_, row), (path, following) in pairwise(reading.each(SizeRow)):
        if following.entries_from <= row.entries_from:
            before, after = row.entries_from, following.entries_from
            yield (
                (*path, "entries_from"),
                f"Rows go by growing class size: {after} cannot stand after {before}.",
            )


def _points(reading: Reading) -> _Found:
    for path, row in reading.each(SizeRow):
        for place, (better, worse) in enumerate(pairwise((*row.points, 0)), start=1):
            if better < worse:
                where = (*path, "points", min(place, len(row.points) - 1))
                yield (
                    where,
                    f"Points never rise from a place to the next, nor fall below 0: {_row(row)}.",
                )
                break


def _row(row: SizeRow) -> str:
    return ", ".join(to_text(points) for points in row.points)


def _beaten(reading: Reading) -> _Found:
    rule = reading.at(("beaten",), BeatenRule)
    if rule is None:
        return
    if rule.per_entry <= 0:
        yield ("beaten", "per_entry"), "An entry beaten must be worth more than nought."
    for name, points in (("winner", rule.winner), ("each", rule.each)):
        if points < 0:
            yield ("beaten", name), _below_nought(name, points)


def _participation(reading: Reading) -> _Found:
    table = reading.at((), PointsTable)
    if table is not None and table.participation < 0:
        yield ("participation",), _below_nought("participation", table.participation)


def _champions(reading: Reading) -> _Found:
    rule = reading.at(("champions",), ChampionRule)
    if rule is None:
        return
    if rule.reserve < 0:
        yield ("champions", "reserve"), _below_nought("reserve", rule.reserve)
    if rule.grand < rule.reserve:
        yield (
            ("champions", "grand"),
            "The reserve champion cannot earn more than the grand champion.",
        )


def _below_nought(name: str, points: int) -> str:
    return f"`{name}` is {to_text(points)}; points do not go below nought."
