"""Walking the whole log, and telling everything in it that does not hold together."""

from collections.abc import Iterator
from datetime import datetime
from typing import Literal

import msgspec
from sqlalchemy import bindparam, func, select

from events.codec import UnreadableEvent, label
from events.envelope import RecordedEvent
from events.proof.hashing import leaf_hash
from service.store.log import Log
from service.store.rulebooks import content_digest
from service.store.tables import event, log_head, rulebook, text
from service.store.texts import reference

PAGE = 5_000

FindingKind = Literal[
    "position_missing",
    "version_out_of_turn",
    "leaf_hash_differs",
    "event_unreadable",
    "column_differs",
    "time_runs_backwards",
    "head_differs",
    "text_differs",
    "rulebook_differs",
]


class Finding(msgspec.Struct, frozen=True, kw_only=True):
    """Something that does not hold: its kind, the position of the log, and what it is.

    ``position`` is ``None`` for what lies beside the log.
    """

    kind: FindingKind
    position: int | None
    detail: str


class Report(msgspec.Struct, frozen=True, kw_only=True):
    """How many events were looked at, in how many streams, and what was found."""

    events: int
    streams: int
    findings: tuple[Finding, ...]


def verify(log: Log) -> Report:
    """Look at every event of the log, and at the texts and rule books beside it.

    Events that are appended meanwhile do no harm. What is proved is that the database agrees with
    itself; that it agrees with what was published is for the checkpoints to prove.
    """
    walk = _Walk(log)
    findings = [*walk.events_in_order(), *_head(log), *_texts(log), *_rulebooks(log)]
    return Report(events=walk.events, streams=len(walk.versions), findings=tuple(findings))


_COLUMNS = ("id", "stream", "version", "type", "schema", "actor", "occurred_at", "recorded_at")
_PAGE = (
    select(event.c.position, event.c.bytes, event.c.leaf_hash, *event.c[_COLUMNS])
    .where(event.c.position > bindparam("after"))
    .order_by(event.c.position)
    .limit(PAGE)
)
_ENDS = select(log_head.c.position, select(func.max(event.c.position)).scalar_subquery())


class _Walk:
    """The log, event by event, and what must be remembered of those before."""

    def __init__(self, log: Log) -> None:
        self.events = 0
        self.versions: dict[str, int] = {}
        self._log = log
        self._position = 0
        self._recorded_at: datetime | None = None

    def events_in_order(self) -> Iterator[Finding]:
        while rows := self._log.rows(_PAGE, {"after": self._position}):
            for position, raw, kept_hash, *columns in rows:
                self.events += 1
                yield from self._gap(position)
                if leaf_hash(raw) != kept_hash:
                    yield _finding("leaf_hash_differs", position, "not the hash of the bytes")
                yield from self._content(position, raw, dict(zip(_COLUMNS, columns, strict=True)))

    def _gap(self, position: int) -> Iterator[Finding]:
        if position != self._position + 1:
            missing = f"{self._position + 1} to {position - 1} are not there"
            yield _finding("position_missing", position, missing)
        self._position = position

    def _content(self, position: int, raw: bytes, row: dict[str, object]) -> Iterator[Finding]:
        try:
            read = self._log.codec.decode(raw, position)
        except UnreadableEvent as error:
            yield _finding("event_unreadable", position, str(error))
            return
        for name, value in self._repeated(read, raw).items():
            if row[name] != value:
                detail = f"{name} is {row[name]!r}, the event says {value!r}"
                yield _finding("column_differs", position, detail)
        yield from self._order(read)

    def _repeated(self, read: RecordedEvent, raw: bytes) -> dict[str, object]:
        kind, schema = label(raw)
        return {
            "id": read.id,
            "stream": read.stream,
            "version": read.version,
            "type": kind,
            "schema": schema,
            "actor": read.actor.key,
            "occurred_at": self._log.database.bound(read.occurred_at),
            "recorded_at": self._log.database.bound(read.recorded_at),
        }

    def _order(self, read: RecordedEvent) -> Iterator[Finding]:
        due = self.versions.get(read.stream, 0) + 1
        if read.version != due:
            detail = f"{read.stream} has version {read.version} where {due} is due"
            yield _finding("version_out_of_turn", read.position, detail)
        self.versions[read.stream] = read.version
        if self._recorded_at and read.recorded_at < self._recorded_at:
            detail = f"{read.recorded_at} comes after {self._recorded_at}"
            yield _finding("time_runs_backwards", read.position, detail)
        self._recorded_at = read.recorded_at


def _head(log: Log) -> Iterator[Finding]:
    ((head, last),) = log.rows(_ENDS, {})
    if head != (last or 0):
        detail = f"the head says {head}, the last event is at {last or 0}"
        yield _finding("head_differs", head, detail)


def _texts(log: Log) -> Iterator[Finding]:
    kept = select(*text.c["ref", "salt", "body"]).where(text.c.body.is_not(None))
    with log.database.reading() as connection:
        for ref, salt, body in connection.execute(kept):
            if reference(salt, body) != ref:
                yield _finding("text_differs", None, f"text {ref} is not what was sealed")


def _rulebooks(log: Log) -> Iterator[Finding]:
    kept = select(*rulebook.c["digest", "content"])
    with log.database.reading() as connection:
        for digest, content in connection.execute(kept):
            if content_digest(content) != digest:
                yield _finding("rulebook_differs", None, f"{digest} is not the book's digest")


def _finding(kind: FindingKind, position: int | None, detail: str) -> Finding:
    return Finding(kind=kind, position=position, detail=detail)
