"""The log: append to a stream, read a stream to any moment, follow everything in order."""

from collections.abc import Collection, Sequence
from datetime import datetime
from typing import Any

import msgspec
from sqlalchemy import ColumnElement, Executable, Select, bindparam, func, select

from events.catalogue import CODEC
from events.codec import Codec
from events.envelope import Event, NewEvent, RecordedEvent
from service.store import postgresql, sqlite
from service.store.batch import Batch, CommandRecord, Landed, VersionMoved, encoded_batch
from service.store.engine import Database
from service.store.errors import (
    CommandIdReused,
    CommandRepeated,
    EventIdTaken,
    NotTogether,
    StoredCommand,
    WrongExpectedVersion,
    violated,
)
from service.store.tables import event, idempotency, log_head

LATEST = 2**31 - 1
"""A version that no stream reaches."""


def _in_stream(*columns: ColumnElement[Any], by_then: bool) -> Select[Any]:
    found = (
        select(*columns)
        .where(event.c.stream == bindparam("stream"))
        .where(event.c.version > bindparam("after"), event.c.version <= bindparam("to"))
        .order_by(event.c.version)
    )
    return found.where(event.c.recorded_at <= bindparam("until")) if by_then else found


# Only what is needed is read. Keyed by whether a time bounds the reading.
_RAW = {by_then: _in_stream(event.c.bytes, by_then=by_then) for by_then in (False, True)}
_PLACED = {
    by_then: _in_stream(event.c.bytes, event.c.position, by_then=by_then)
    for by_then in (False, True)
}
_FEED = (
    select(event.c.bytes, event.c.position)
    .where(event.c.position > bindparam("after"))
    .order_by(event.c.position)
    .limit(bindparam("limit"))
)
_VERSION = select(func.coalesce(func.max(event.c.version), 0)).where(
    event.c.stream == bindparam("stream")
)
_VERSION_BY_THEN = _VERSION.where(event.c.recorded_at <= bindparam("until"))


class Head(msgspec.Struct, frozen=True, kw_only=True):
    """How far the log has come."""

    position: int
    recorded_at: datetime


class Log:
    """The events of one database."""

    def __init__(self, database: Database, codec: Codec = CODEC) -> None:
        self.database = database
        self.codec = codec
        self._append = sqlite.append if database.is_sqlite else postgresql.append

    def append(
        self,
        stream: str,
        events: Sequence[NewEvent],
        *,
        expected_version: int,
        command: CommandRecord | None = None,
        beside: Sequence[Executable] = (),
    ) -> tuple[RecordedEvent, ...]:
        """Write the events at the end of a stream that is at exactly the expected version.

        ``beside`` are statements of the same transaction, such as the texts that the events refer
        to. All is written or nothing: ``WrongExpectedVersion``, ``CommandRepeated``,
        ``CommandIdReused``, ``EventIdTaken``, ``NotCanonical``, ``StoreBusy``. A repeated command
        is told apart first, whatever the version.
        """
        batch = self.batch(
            stream, events, expected_version=expected_version, command=command, beside=beside
        )
        try:
            (landed,) = self._append(self.database, [batch])
        except Exception as error:
            reason = self._reason(error, batch)
            if reason is error:
                raise
            raise reason from error
        return self._recorded(batch, landed)

    def batch(
        self,
        stream: str,
        events: Sequence[NewEvent],
        *,
        expected_version: int,
        command: CommandRecord | None = None,
        beside: Sequence[Executable] = (),
    ) -> Batch:
        """An append that is not made yet; ``NotCanonical`` where an event has no bytes."""
        return encoded_batch(
            self.codec,
            stream,
            events,
            expected_version=expected_version,
            command=command,
            beside=beside,
        )

    def append_together(self, batches: Sequence[Batch]) -> list[tuple[RecordedEvent, ...]]:
        """Make several appends in one transaction, in their order: all of them, or none.

        ``NotTogether`` when one of them cannot be made, which each tells when it is made alone.
        """
        try:
            landed = self._append(self.database, batches)
        except Exception as error:
            if violated(error) is None and not isinstance(error, VersionMoved):
                raise
            raise NotTogether(len(batches)) from error
        return [self._recorded(*each) for each in zip(batches, landed, strict=True)]

    def read(
        self, stream: str, *, after: int = 0, to: int = LATEST, until: datetime | None = None
    ) -> tuple[RecordedEvent, ...]:
        """A stream's events from the version beyond ``after`` to a version or a time, in order."""
        bounds = self._bounded(stream, after, to, until)
        rows = self.rows(_PLACED[until is not None], bounds)
        return tuple(self.codec.decode(raw, position) for raw, position in rows)

    def read_data(
        self, stream: str, *, after: int = 0, to: int = LATEST, until: datetime | None = None
    ) -> list[Event]:
        """The same without envelopes, for folding: the first is version ``after + 1``."""
        decode = self.codec.decode_data
        bounds = self._bounded(stream, after, to, until)
        return [decode(raw) for (raw,) in self.rows(_RAW[until is not None], bounds)]

    def version(self, stream: str) -> int:
        """The version of a stream's last event, 0 when it has none."""
        return self._one(_VERSION, {"stream": stream})

    def version_at(self, stream: str, moment: datetime) -> int:
        """The stream's version at a time: that of the last event recorded by then."""
        until = self.database.bound(moment)
        return self._one(_VERSION_BY_THEN, {"stream": stream, "until": until})

    def versions(
        self, streams: Collection[str], *, to: int | None = None, until: datetime | None = None
    ) -> dict[str, int]:
        """The version of each stream that had begun at a position of the log, or at a time."""
        wanted = (
            select(event.c.stream, func.max(event.c.version))
            .where(event.c.stream.in_(streams))
            .group_by(event.c.stream)
        )
        if to is not None:
            wanted = wanted.where(event.c.position <= to)
        if until is not None:
            wanted = wanted.where(event.c.recorded_at <= until)
        with self.database.reading() as connection:
            return {row[0]: row[1] for row in connection.execute(wanted)}

    def feed(self, after: int, limit: int) -> tuple[RecordedEvent, ...]:
        """The next events of the whole log beyond a position, in order.

        Positions are committed in order and without gaps, so a reader who goes on from the last
        position it saw never misses an event.
        """
        rows = self.rows(_FEED, {"after": after, "limit": limit})
        return tuple(self.codec.decode(raw, position) for raw, position in rows)

    def head(self) -> Head:
        """The log's last position, and the time before which nothing more can be recorded."""
        with self.database.reading() as connection:
            row = connection.execute(select(log_head.c.position, log_head.c.recorded_at)).one()
        return Head(position=row.position, recorded_at=row.recorded_at)

    def stored_command(self, key: str, command: str) -> StoredCommand | None:
        """What a command led to, if it was carried out."""
        with self.database.reading() as connection:
            found = connection.execute(
                select(idempotency).where(
                    idempotency.c.key == key, idempotency.c.command == command
                )
            ).one_or_none()
        return None if found is None else StoredCommand(**found._asdict())

    def carried_out(self, command: CommandRecord) -> StoredCommand | None:
        """What this very command led to, if it was carried out before.

        ``CommandIdReused`` when its key used its id for something else.
        """
        stored = self.stored_command(command.key, command.command)
        if stored and stored.fingerprint != command.fingerprint:
            raise CommandIdReused(command.key, command.command)
        return stored

    def rows(self, statement: Select[Any], values: dict[str, object]) -> list[tuple[Any, ...]]:
        """The rows of a module's own statement, as ``Database.rows`` gives them."""
        with self.database.reading() as connection:
            return self.database.rows(connection, statement, values)

    def _recorded(self, batch: Batch, landed: Landed) -> tuple[RecordedEvent, ...]:
        return tuple(
            self.codec.decode(encoded.at(landed.recorded_at), position)
            for position, encoded in enumerate(batch.encoded, landed.after + 1)
        )

    def _bounded(
        self, stream: str, after: int, to: int, until: datetime | None
    ) -> dict[str, object]:
        bounds: dict[str, object] = {"stream": stream, "after": after, "to": to}
        return bounds if until is None else bounds | {"until": self.database.bound(until)}

    def _one(self, statement: Select[Any], values: dict[str, object]) -> int:
        number: int = self.rows(statement, values)[0][0]
        return number

    def _reason(self, error: Exception, batch: Batch) -> Exception:
        """Why an append failed, in the store's words; the error itself where it is none of ours."""
        constraint = violated(error)
        if constraint is None and not isinstance(error, VersionMoved):
            return error
        try:
            stored = self.carried_out(batch.command) if batch.command else None
        except CommandIdReused as reused:
            return reused
        if stored:
            return CommandRepeated(stored)
        if constraint == "uq_event_id":
            return EventIdTaken(self._taken([new.id for new in batch.events]))
        if constraint in {None, "uq_event_stream_version"}:
            actual = self.version(batch.stream)
            return WrongExpectedVersion(batch.stream, batch.expected_version, actual)
        return error

    def _taken(self, ids: list[str]) -> tuple[str, ...]:
        with self.database.reading() as connection:
            known = connection.scalars(select(event.c.id).where(event.c.id.in_(ids))).all()
        return tuple(sorted({each for each in ids if each in known or ids.count(each) > 1}))
