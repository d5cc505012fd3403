"""Appending on PostgreSQL: one statement, so that the head row is locked for one round trip."""

from collections.abc import Sequence
from functools import lru_cache

import msgspec
from sqlalchemy import Connection

from service.store.batch import Batch, Landed, VersionMoved
from service.store.engine import Database

# Every part draws on ``head``, which is empty when the stream has moved on: then nothing is
# written at all. The time of recording is taken under the head row's lock and goes into the bytes
# there, so that along the log it never runs backwards.
_HEAD = """
WITH head AS (
    UPDATE log_head
    SET position = position + %(count)s, recorded_at = greatest(recorded_at, clock_timestamp())
    WHERE id = 1 AND %(expected)s = (
        SELECT coalesce(max(version), 0) FROM event WHERE stream = %(stream)s)
    RETURNING
        position - %(count)s AS after,
        recorded_at,
        convert_to(
            to_char(recorded_at AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS.US"Z"'), 'UTF8'
        ) AS stamp
)"""
_INSERT_EVENTS = """, appended AS (
    INSERT INTO event (position, id, stream, version, type, schema, actor, occurred_at, recorded_at,
        bytes, leaf_hash)
    SELECT head.after + new.n, new.id, %(stream)s, %(expected)s + new.n, new.type, new.schema,
        new.actor, new.occurred_at, head.recorded_at, new.prefix || head.stamp || new.suffix,
        sha256('\\x00'::bytea || new.prefix || head.stamp || new.suffix)
    FROM head, {source} AS new (n, id, type, schema, actor, occurred_at, prefix, suffix)
)"""
# A few events are spelt out, which costs the driver much less than arrays do; many are not, since
# it would have to take a long statement apart each time.
FEW = 8
_SPELT_OUT = (
    "({n}, %(id{n})s::text, %(type{n})s::text, %(schema{n})s::int, %(actor{n})s::text,"
    " %(occurred_at{n})s::timestamptz, %(prefix{n})s::bytea, %(suffix{n})s::bytea)"
)
_FROM_ARRAYS = """(
        SELECT n, id, type, schema, actor, occurred_at, prefix, suffix
        FROM unnest(%(id)s::text[], %(type)s::text[], %(schema)s::int[], %(actor)s::text[],
            %(occurred_at)s::timestamptz[], %(prefix)s::bytea[], %(suffix)s::bytea[])
            WITH ORDINALITY AS each (id, type, schema, actor, occurred_at, prefix, suffix, n)
    )"""
_INSERT_COMMAND = """, remembered AS (
    INSERT INTO idempotency (key, command, fingerprint, stream, version, events, position,
        recorded_at, answer)
    SELECT %(key)s, %(command)s, %(fingerprint)s, %(stream)s, %(expected)s + %(count)s, %(count)s,
        head.after + %(count)s, head.recorded_at, %(answer)s
    FROM head
)"""
_RESULT = "\nSELECT after, recorded_at FROM head"


@lru_cache(maxsize=64)
def statement(events: int, *, for_a_command: bool) -> str:
    """The one statement that appends so many events."""
    insert_events = _INSERT_EVENTS.format(source=_source(events)) if events else ""
    return _HEAD + insert_events + (_INSERT_COMMAND if for_a_command else "") + _RESULT


def _source(events: int) -> str:
    if events > FEW:
        return _FROM_ARRAYS
    return f"(VALUES {', '.join(_SPELT_OUT.format(n=n) for n in range(1, events + 1))})"


def values(batch: Batch) -> dict[str, object]:
    """The values of its parameters."""
    values: dict[str, object] = {
        "stream": batch.stream,
        "expected": batch.expected_version,
        "count": len(batch.events),
    }
    columns = _columns(batch)
    if len(batch.events) > FEW:
        values |= columns
    else:
        for name, column in columns.items():
            values |= {f"{name}{n}": value for n, value in enumerate(column, 1)}
    return values | (msgspec.structs.asdict(batch.command) if batch.command else {})


def _columns(batch: Batch) -> dict[str, Sequence[object]]:
    return {
        "id": [new.id for new in batch.events],
        "type": [each.type for each in batch.encoded],
        "schema": [each.schema for each in batch.encoded],
        "actor": [new.actor.key for new in batch.events],
        "occurred_at": [new.occurred_at for new in batch.events],
        "prefix": [each.prefix for each in batch.encoded],
        "suffix": [each.suffix for each in batch.encoded],
    }


def append(database: Database, batches: Sequence[Batch]) -> list[Landed]:
    """Write the batches, or nothing and raise ``VersionMoved`` or a violated constraint."""
    if len(batches) == 1 and not batches[0].beside:
        with database.reading() as connection:  # the one statement is a transaction by itself
            return [_append(database, connection, batches[0])]
    with database.writing() as connection:
        return [_append(database, connection, batch) for batch in batches]


def _append(database: Database, connection: Connection, batch: Batch) -> Landed:
    for beside in batch.beside:
        connection.execute(beside)
    sql = statement(len(batch.events), for_a_command=batch.command is not None)
    rows = database.rows(connection, sql, values(batch))
    if not rows:
        raise VersionMoved
    after, recorded_at = rows[0]
    return Landed(after=after, recorded_at=recorded_at)
