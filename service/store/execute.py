"""Carrying out a command on a stream: load, decide, append, and again if somebody was faster."""

from collections.abc import Callable, Sequence
from datetime import datetime
from typing import Generic, NamedTuple, TypeVar

from sqlalchemy import Executable

from events.envelope import Actor, Event, NewEvent, RecordedEvent
from events.refusals import Refusal
from service.store.batch import Batch, CommandRecord
from service.store.errors import (
    CommandRepeated,
    ConcurrencyGaveUp,
    StoredCommand,
    WrongExpectedVersion,
)
from service.store.folds import Fold, StreamFolds
from service.store.ids import new_id
from service.store.log import Log

S = TypeVar("S")
ATTEMPTS = 3


class Executed(NamedTuple):
    """What a command led to: the stream's version after it, and the events it added.

    ``repeated`` when it had been carried out before, and nothing was done now.
    """

    version: int
    events: tuple[RecordedEvent, ...]
    repeated: bool


def execute(
    folds: StreamFolds[S],
    stream: str,
    decide: Callable[[S], Sequence[Event]],
    *,
    command: CommandRecord,
    actor: Actor,
    occurred_at: datetime,
    expected_version: int | None = None,
    beside: Sequence[Executable] = (),
) -> Executed:
    """Decide on the stream's latest state and append what follows, once for each command.

    It is decided first on the state that is remembered, without a look at the log: the append finds
    out whether the stream has moved on, and no refusal is given before the log was asked.

    ``beside`` is written only when there are events to write it beside. Nothing is written when it
    raises: the ``Refusal`` of ``decide``, ``WrongExpectedVersion`` when the stream is not at the
    version that the command insists on, ``CommandIdReused``, ``StoreBusy``, or
    ``ConcurrencyGaveUp`` when others were faster three times in a row.
    """
    log = folds.log
    fold = folds.remembered(stream)
    for _ in range(1 + ATTEMPTS):
        try:
            _insist(stream, expected_version, fold)
            events = _new_events(decide(fold.state), command, actor, occurred_at)
        except (Refusal, WrongExpectedVersion):
            latest = folds.latest(stream)
            if latest.version != fold.version:
                fold = latest
                continue
            # Carried out once, a command may no longer fit what it led to. That is no refusal.
            if stored := log.carried_out(command):
                return _as_before(log, stored)
            raise
        try:
            recorded = log.append(
                stream,
                events,
                expected_version=fold.version,
                command=command,
                beside=beside if events else (),
            )
        except CommandRepeated as repeated:
            return _as_before(log, repeated.stored)
        except WrongExpectedVersion:
            fold = folds.latest(stream)
            continue
        after = folds.advance(stream, fold, [each.data for each in recorded])
        return Executed(after.version, recorded, repeated=False)
    raise ConcurrencyGaveUp(stream, ATTEMPTS)


class Wanted(NamedTuple, Generic[S]):
    """A command to be carried out, as ``execute`` takes it."""

    decide: Callable[[S], Sequence[Event]]
    command: CommandRecord
    actor: Actor
    occurred_at: datetime
    expected_version: int | None
    beside: Sequence[Executable]


def execute_together(
    folds: StreamFolds[S], stream: str, wanted: Sequence[Wanted[S]]
) -> list[Executed]:
    """Carry out the first of these commands in one transaction, as far as none is refused.

    Each is decided on what those before it led to. What the answer does not reach was not carried
    out: the next, which is for ``execute`` to refuse, and those after it. With ``NotTogether``
    nothing was, since one was carried out before or somebody else was faster.
    """
    fold = folds.remembered(stream)
    batches: list[Batch] = []
    versions: list[int] = []
    for each in wanted:
        try:
            _insist(stream, each.expected_version, fold)
            events = _new_events(
                each.decide(fold.state), each.command, each.actor, each.occurred_at
            )
        except (Refusal, WrongExpectedVersion):
            break
        batches.append(
            folds.log.batch(
                stream,
                events,
                expected_version=fold.version,
                command=each.command,
                beside=each.beside if events else (),
            )
        )
        fold = folds.after(fold, [event.data for event in events])
        versions.append(fold.version)
    if not batches:
        return []
    recorded = folds.log.append_together(batches)
    folds.keep(stream, fold)
    return [
        Executed(version, events, repeated=False)
        for version, events in zip(versions, recorded, strict=True)
    ]


def _insist(stream: str, expected: int | None, fold: Fold[S]) -> None:
    if expected is not None and expected != fold.version:
        raise WrongExpectedVersion(stream, expected, fold.version)


def _new_events(
    happened: Sequence[Event], command: CommandRecord, actor: Actor, occurred_at: datetime
) -> list[NewEvent]:
    return [
        NewEvent(
            id=new_id(), command=command.command, actor=actor, occurred_at=occurred_at, data=data
        )
        for data in happened
    ]


def _as_before(log: Log, stored: StoredCommand) -> Executed:
    first = stored.version - stored.events
    events = log.read(stored.stream, after=first, to=stored.version)
    return Executed(stored.version, events, repeated=True)
