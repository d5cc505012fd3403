"""Appending on PostgreSQL: one statement, so that the head row is locked for one round trip."""

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
    FROM head, unnest(%(ids)s::text[], %(types)s::text[], %(schemas)s::int[], %(actors)s::text[],
        %(times)s::timestamptz[], %(prefixes)s::bytea[], %(suffixes)s::bytea[])
        WITH ORDINALITY AS new (id, type, schema, actor, occurred_at, prefix, suffix, n)
)"""
_INSERT_COMMAND = """, remembered AS (
    INSERT INTO idempotency (key, command, fingerprint, stream, version, events, position,
        recorded_at, answer)
    SELECT %(key)s, %(command)s, %(fingerprint)s, %(stream)s, %(expected)s + %(count)s, %(count)s,
        head.after + %(count)s, head.recorded_at, %(answer)s
    FROM head
)"""
_RESULT = "\nSELECT after, recorded_at FROM head"

APPEND = _HEAD + _INSERT_EVENTS + _RESULT
APPEND_FOR_A_COMMAND = _HEAD + _INSERT_EVENTS + _INSERT_COMMAND + _RESULT


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
    sql = APPEND_FOR_A_COMMAND if batch.command else APPEND
    rows = database.rows(connection, sql, _values(batch))
    if not rows:
        raise VersionMoved
    after, recorded_at = rows[0]
    return Landed(after=after, recorded_at=recorded_at)


def _values(batch: Batch) -> dict[str, object]:
    values: dict[str, object] = {
        "stream": batch.stream,
        "expected": batch.expected_version,
        "count": len(batch.events),
        "ids": [new.id for new in batch.events],
        "types": [each.type for each in batch.encoded],
        "schemas": [each.schema for each in batch.encoded],
        "actors": [new.actor.key for new in batch.events],
        "times": [new.occurred_at for new in batch.events],
        "prefixes": [each.prefix for each in batch.encoded],
        "suffixes": [each.suffix for each in batch.encoded],
    }
    if batch.command:
        values |= {
            "key": batch.command.key,
            "command": batch.command.command,
            "fingerprint": batch.command.fingerprint,
            "answer": batch.command.answer,
        }
    return values
