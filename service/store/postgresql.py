"""Appending on PostgreSQL: one statement, so that the head row is locked for one round trip."""

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
    FROM head, (VALUES {rows}) AS new (n, id, type, schema, actor, occurred_at, prefix, suffix)
)"""
# Spelt out for each event, because for a few events that is much cheaper than arrays.
_ROW = (
    "({n}, %(id{n})s::text, %(type{n})s::text, %(schema{n})s::int, %(actor{n})s::text,"
    " %(occurred_at{n})s::timestamptz, %(prefix{n})s::bytea, %(suffix{n})s::bytea)"
)
_INSERT_COMMAND = """, remembered AS (
    INSERT INTO idempotency (key, command, fingerprint, stream, version, events, position,
        recorded_at, answer)
    SELECT %(key)s, %(command)s, %(fingerprint)s, %(stream)s, %(expected)s + %(count)s, %(count)s,
        head.after + %(count)s, head.recorded_at, %(answer)s
    FROM head
)"""
_RESULT = "\nSELECT after, recorded_at FROM head"


@lru_cache(maxsize=256)
def statement(events: int, *, for_a_command: bool) -> str:
    """The one statement that appends so many events."""
    rows = ", ".join(_ROW.format(n=n) for n in range(1, events + 1))
    insert_events = _INSERT_EVENTS.format(rows=rows) if events else ""
    return _HEAD + insert_events + (_INSERT_COMMAND if for_a_command else "") + _RESULT


def values(batch: Batch) -> dict[str, object]:
    """The values of its parameters."""
    values: dict[str, object] = {
        "stream": batch.stream,
        "expected": batch.expected_version,
        "count": len(batch.events),
    }
    for n, (new, encoded) in enumerate(zip(batch.events, batch.encoded, strict=True), 1):
        values[f"id{n}"] = new.id
        values[f"type{n}"] = encoded.type
        values[f"schema{n}"] = encoded.schema
        values[f"actor{n}"] = new.actor.key
        values[f"occurred_at{n}"] = new.occurred_at
        values[f"prefix{n}"] = encoded.prefix
        values[f"suffix{n}"] = encoded.suffix
    if batch.command:
        values |= msgspec.structs.asdict(batch.command)
    return values


def append(database: Database, batch: Batch) -> Landed:
    """Write the batch, or nothing of it and raise ``VersionMoved`` or a violated constraint."""
    if not batch.beside:
        with database.reading() as connection:
            return _append(database, connection, batch)
    with database.writing() as connection:
        for statement in batch.beside:
            connection.execute(statement)
        return _append(database, connection, batch)


def _append(database: Database, connection: Connection, batch: Batch) -> Landed:
    sql = statement(len(batch.events), for_a_command=batch.command is not None)
    rows = database.rows(connection, sql, values(batch))
    if not rows:
        raise VersionMoved
    after, recorded_at = rows[0]
    return Landed(after=after, recorded_at=recorded_at)
