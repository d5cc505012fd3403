"""Appending on SQLite: under the one write lock, where everything can be looked up first."""

from collections.abc import Sequence
from datetime import UTC, datetime

from sqlalchemy import Connection, bindparam, func, insert, select, update

from events.proof.hashing import leaf_hash
from service.store.batch import Batch, Landed, VersionMoved
from service.store.engine import Database
from service.store.tables import event, idempotency, log_head

# Made once: to build a statement costs more than to carry it out.
_LATEST = select(func.coalesce(func.max(event.c.version), 0)).where(
    event.c.stream == bindparam("stream")
)
_HEAD = select(log_head.c.position, log_head.c.recorded_at)
_MOVE_HEAD = update(log_head).values(position=bindparam("to"), recorded_at=bindparam("at"))
_INSERT_EVENT = insert(event)
_INSERT_COMMAND = insert(idempotency)


def append(database: Database, batches: Sequence[Batch]) -> list[Landed]:
    """Write the batches, or nothing and raise ``VersionMoved`` or a violated constraint."""
    with database.writing() as connection:
        return [_append(database, connection, batch) for batch in batches]


def _append(database: Database, connection: Connection, batch: Batch) -> Landed:
    _expect_version(database, connection, batch)
    for statement in batch.beside:
        connection.execute(statement)
    landed = _move_head(connection, len(batch.events))
    if batch.events:
        connection.execute(_INSERT_EVENT, _rows(batch, landed))
    if batch.command:
        connection.execute(_INSERT_COMMAND, _command_row(batch, landed))
    return landed


def _expect_version(database: Database, connection: Connection, batch: Batch) -> None:
    [(latest,)] = database.rows(connection, _LATEST, {"stream": batch.stream})
    if latest != batch.expected_version:
        raise VersionMoved


def _move_head(connection: Connection, count: int) -> Landed:
    after, last = connection.execute(_HEAD).one()
    recorded_at = max(last, datetime.now(UTC))
    connection.execute(_MOVE_HEAD, {"to": after + count, "at": recorded_at})
    return Landed(after=after, recorded_at=recorded_at)


def _rows(batch: Batch, landed: Landed) -> list[dict[str, object]]:
    rows: list[dict[str, object]] = []
    for n, (new, encoded) in enumerate(zip(batch.events, batch.encoded, strict=True), 1):
        raw = encoded.at(landed.recorded_at)
        rows.append(
            {
                "position": landed.after + n,
                "id": new.id,
                "stream": batch.stream,
                "version": batch.expected_version + n,
                "type": encoded.type,
                "schema": encoded.schema,
                "actor": new.actor.key,
                "occurred_at": new.occurred_at,
                "recorded_at": landed.recorded_at,
                "bytes": raw,
                "leaf_hash": leaf_hash(raw),
            }
        )
    return rows


def _command_row(batch: Batch, landed: Landed) -> dict[str, object]:
    assert batch.command  # noqa: S101 - only called when there is one
    return {
        "key": batch.command.key,
        "command": batch.command.command,
        "fingerprint": batch.command.fingerprint,
        "stream": batch.stream,
        "version": batch.version,
        "events": len(batch.events),
        "position": landed.after + len(batch.events),
        "recorded_at": landed.recorded_at,
        "answer": batch.command.answer,
    }
