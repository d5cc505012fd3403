"""Reading a bundle line by line, each checked as it comes."""

from collections.abc import Callable, Iterator, Mapping
from hashlib import sha256

import msgspec

from events.bundle.format import (
    AnyLine,
    Consistency,
    EventLine,
    Head,
    ResultLine,
    RuleBookLine,
    Seal,
    path_bytes,
    read_line,
)
from events.bundle.keys import Keys
from events.catalogue import CODEC
from events.codec import UnreadableEvent
from events.envelope import RecordedEvent
from events.proof.checkpoint import Checkpoint
from events.proof.hashing import leaf_hash
from events.proof.refused import ProofRefused
from events.proof.verify import verify_inclusion
from events.rulebook.fault import RuleBookRefused
from events.rulebook.load import from_canonical
from events.rulebook.model import RuleBook


class Fault(msgspec.Struct, frozen=True, kw_only=True):
    """Something in a bundle that does not hold: where, and in words that name the event.

    ``line`` counts from 1; ``version`` is the event's in its class.
    """

    code: str
    says: str
    line: int | None = None
    version: int | None = None


class Reading(msgspec.Struct):
    """What has been read of a bundle so far.

    ``events`` are those that hold, as they stand in the bundle, each in the line that ``lines``
    says. ``sound`` is whether every line held so far. ``due`` is the version that comes next in
    turn; ``named`` are the versions that faults have named.
    """

    head: Head | None = None
    checkpoint: Checkpoint | None = None
    book: RuleBook | None = None
    book_digest: str | None = None
    consistency: Consistency | None = None
    events: list[RecordedEvent] = []
    lines: list[int] = []
    results: list[tuple[int, ResultLine]] = []
    seal: tuple[int, Seal] | None = None
    sound: bool = True
    stage: int = -1
    due: int = 1
    named: set[int] = set()

    def names_all(self, first: int, last: int) -> bool:
        """Whether faults have named every version from ``first`` to ``last``."""
        return all(version in self.named for version in range(first, last + 1))


_STAGES: tuple[type[AnyLine], ...] = (
    Head,
    RuleBookLine,
    Consistency,
    EventLine,
    ResultLine,
    Seal,
)
_REPEATED = {_STAGES.index(EventLine), _STAGES.index(ResultLine)}


def line_faults(reading: Reading, number: int, raw: bytes, keys: Keys) -> Iterator[Fault]:
    """Read one more line (``raw`` without its newline), and say what does not hold in it."""
    line = read_line(raw)
    if line is None:
        found = iter((_unreadable(reading, number),))
    elif not _in_turn(reading, line):
        version = reading.due if isinstance(line, EventLine) else None
        says = f"Line {number} is out of place."
        found = iter((Fault(code="line_misplaced", says=says, line=number, version=version),))
    else:
        found = _HANDLERS[type(line)](reading, number, line, keys)
    for fault in found:
        reading.sound = False
        if fault.version is not None:
            reading.named.add(fault.version)
        yield fault


def _unreadable(reading: Reading, number: int) -> Fault:
    """A line that cannot be read is taken for an event while events are due."""
    says = f"Line {number} is no line of a bundle"
    head = reading.head
    if head is None or reading.due > head.events or reading.stage > _STAGES.index(EventLine):
        return Fault(code="line_unreadable", says=f"{says}.", line=number)
    return Fault(
        code="line_unreadable",
        says=f"{says}, where event {reading.due} is expected.",
        line=number,
        version=reading.due,
    )


def _in_turn(reading: Reading, line: AnyLine) -> bool:
    stage = _STAGES.index(type(line))
    if stage < reading.stage or (stage == reading.stage and stage not in _REPEATED):
        return False
    reading.stage = stage
    return True


def _head(reading: Reading, number: int, line: Head, keys: Keys) -> Iterator[Fault]:
    reading.head = line
    try:
        reading.checkpoint = keys.checkpoint(line.checkpoint)
    except ProofRefused as refused:
        yield Fault(
            code="checkpoint_refused",
            says=f"The checkpoint is not good: {refused.message}.",
            line=number,
        )


def _rulebook(reading: Reading, number: int, line: RuleBookLine, _: Keys) -> Iterator[Fault]:
    content = bytes(line.content)
    try:
        reading.book = from_canonical(content)
    except RuleBookRefused as refused:
        yield Fault(code="rulebook_unreadable", says=str(refused), line=number)
        return
    reading.book_digest = f"sha256:{sha256(content).hexdigest()}"
    if reading.book_digest != line.digest:
        yield Fault(
            code="rulebook_digest",
            says="The rule book is not the one its digest names.",
            line=number,
        )


def _consistency(reading: Reading, _: int, line: Consistency, __: Keys) -> Iterator[Fault]:
    reading.consistency = line
    return iter(())


def _event(reading: Reading, number: int, line: EventLine, _: Keys) -> Iterator[Fault]:
    """An event counts as read only once it is shown to be what the log holds."""
    due = reading.due
    try:
        event = CODEC.decode(bytes(line.event), line.position)
        _require_in_log(reading, line)
    except UnreadableEvent as error:
        says = f"Line {number}, where event {due} is expected, holds no event: {error}."
        yield Fault(code="event_unreadable", says=says, line=number, version=due)
    except ProofRefused as refused:
        says = (
            f"Line {number}, where event {due} is expected, is not what the log holds at "
            f"position {line.position}: {refused.message}."
        )
        yield Fault(code="event_not_in_log", says=says, line=number, version=due)
    else:
        if reading.head is not None and event.stream != reading.head.stream:
            says = f"Line {number}, where event {due} is expected, is an event of {event.stream}."
            yield Fault(code="event_of_another_stream", says=says, line=number, version=due)
            reading.due = due + 1
            return
        reading.events.append(event)
        reading.lines.append(number)
        reading.due = event.version + 1


def _require_in_log(reading: Reading, line: EventLine) -> None:
    if reading.checkpoint is not None:
        verify_inclusion(
            leaf_hash(bytes(line.event)),
            path_bytes(line.path),
            index=line.position - 1,
            size=reading.checkpoint.size,
            root=reading.checkpoint.root,
        )


def _result(reading: Reading, number: int, line: ResultLine, _: Keys) -> Iterator[Fault]:
    reading.results.append((number, line))
    return iter(())


def _seal(reading: Reading, number: int, line: Seal, _: Keys) -> Iterator[Fault]:
    reading.seal = (number, line)
    return iter(())


_HANDLERS: Mapping[type[AnyLine], Callable[..., Iterator[Fault]]] = {
    Head: _head,
    RuleBookLine: _rulebook,
    Consistency: _consistency,
    EventLine: _event,
    ResultLine: _result,
    Seal: _seal,
}
