"""Reading a bundle line by line, each checked as it comes."""

from collections.abc import Callable, Iterable, Iterator

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
from events.catalogue import CODEC
from events.codec import UnreadableEvent
from events.envelope import RecordedEvent
from events.proof.checkpoint import Checkpoint, parse_checkpoint
from events.proof.hashing import leaf_hash
from events.proof.keys import VerifierKey
from events.proof.note import CheckSignature, open_note
from events.proof.refused import ProofRefused
from events.proof.verify import verify_inclusion
from events.rulebook.fault import RuleBookRefused
from events.rulebook.load import digest, from_canonical
from events.rulebook.model import RuleBook


class Fault(msgspec.Struct, frozen=True, kw_only=True):
    """Something in a bundle that does not hold: where, and in words that name the event."""

    code: str
    says: str
    line: int | None = None
    version: int | None = None


class Keys(msgspec.Struct, frozen=True):
    """The log's verifier keys, in force and retired, and how a signature is checked with one."""

    known: tuple[VerifierKey, ...]
    check: CheckSignature

    def text_of(self, note: bytes) -> str:
        """The text that a known key has signed; ``ProofRefused`` if none has."""
        return open_note(note, self.known, self.check).text


class Reading(msgspec.Struct):
    """What has been read of a bundle so far; ``sound`` while every line of it holds."""

    head: Head | None = None
    checkpoint: Checkpoint | None = None
    book: RuleBook | None = None
    book_digest: str | None = None
    consistency: Consistency | None = None
    events: list[RecordedEvent] = []
    results: list[tuple[int, ResultLine]] = []
    sound: bool = True


def line_faults(reading: Reading, number: int, raw: bytes, keys: Keys) -> Iterable[Fault]:
    """Read one more line (``raw`` without its newline), and say what does not hold in it."""
    line = read_line(raw)
    expected = _expected(reading)
    if line is None:
        reading.sound = False
        missing = len(reading.events) + 1
        where = f", where {expected} is expected" if reading.head else ""
        return [
            Fault(
                code="line_unreadable",
                says=f"Line {number} is no line of a bundle{where}.",
                line=number,
                version=missing if reading.head and missing <= reading.head.events else None,
            )
        ]
    if (number == 1) != isinstance(line, Head):
        reading.sound = False
        return [Fault(code="line_misplaced", says=f"Line {number} is out of place.", line=number)]
    return list(_HANDLERS[type(line)](reading, number, line, keys))


def _expected(reading: Reading) -> str:
    if reading.head is not None and len(reading.events) < reading.head.events:
        return f"event {len(reading.events) + 1}"
    return "a result or the seal"


def _head(reading: Reading, number: int, line: Head, keys: Keys) -> Iterator[Fault]:
    reading.head = line
    try:
        reading.checkpoint = parse_checkpoint(keys.text_of(line.checkpoint.encode()))
    except ProofRefused as refused:
        reading.sound = False
        yield Fault(
            code="checkpoint_refused",
            says=f"The checkpoint is not good: {refused.message}.",
            line=number,
        )


def _rulebook(reading: Reading, number: int, line: RuleBookLine, _: Keys) -> Iterator[Fault]:
    try:
        book = from_canonical(bytes(line.content))
    except RuleBookRefused as refused:
        reading.sound = False
        yield Fault(code="rulebook_unreadable", says=str(refused), line=number)
        return
    reading.book, reading.book_digest = book, digest(book)
    if reading.book_digest != line.digest:
        reading.sound = False
        yield Fault(
            code="rulebook_digest",
            says="The rule book is not the one its digest names.",
            line=number,
        )


def _consistency(reading: Reading, _: int, line: Consistency, __: Keys) -> Iterator[Fault]:
    reading.consistency = line
    return iter(())


def _event(reading: Reading, number: int, line: EventLine, _: Keys) -> Iterator[Fault]:
    try:
        event = CODEC.decode(bytes(line.event), line.position)
    except UnreadableEvent as error:
        reading.sound = False
        yield Fault(
            code="event_unreadable",
            says=f"Line {number} should hold event {len(reading.events) + 1}: {error}.",
            line=number,
            version=len(reading.events) + 1,
        )
        return
    yield from _inclusion_faults(reading, number, line, event)
    yield from _order_faults(reading, number, event)
    reading.events.append(event)


def _inclusion_faults(
    reading: Reading, number: int, line: EventLine, event: RecordedEvent
) -> Iterator[Fault]:
    if reading.checkpoint is None:
        return
    try:
        verify_inclusion(
            leaf_hash(bytes(line.event)),
            path_bytes(line.path),
            index=line.position - 1,
            size=reading.checkpoint.size,
            root=reading.checkpoint.root,
        )
    except ProofRefused as refused:
        reading.sound = False
        yield Fault(
            code="event_not_in_log",
            says=f"Event {event.version} at position {line.position} is not what the log holds: "
            f"{refused.message}.",
            line=number,
            version=event.version,
        )


def _order_faults(reading: Reading, number: int, event: RecordedEvent) -> Iterator[Fault]:
    due = reading.events[-1].version + 1 if reading.events else 1
    if reading.head is not None and event.stream != reading.head.stream:
        reading.sound = False
        yield Fault(
            code="event_of_another_stream",
            says=f"Line {number} holds an event of {event.stream}.",
            line=number,
            version=event.version,
        )
    elif event.version > due:
        reading.sound = False
        gap = str(due) if event.version == due + 1 else f"{due} to {event.version - 1}"
        yield Fault(
            code="event_missing",
            says=f"Event {gap} of the class is missing before line {number}.",
            line=number,
            version=due,
        )
    elif event.version < due:
        reading.sound = False
        yield Fault(
            code="event_out_of_order",
            says=f"Event {event.version} of the class stands after event {due - 1}.",
            line=number,
            version=event.version,
        )


def _result(reading: Reading, number: int, line: ResultLine, _: Keys) -> Iterator[Fault]:
    reading.results.append((number, line))
    return iter(())


def _seal(_: Reading, __: int, ___: Seal, ____: Keys) -> Iterator[Fault]:
    return iter(())


_HANDLERS: dict[type[AnyLine], Callable[..., Iterator[Fault]]] = {
    Head: _head,
    RuleBookLine: _rulebook,
    Consistency: _consistency,
    EventLine: _event,
    ResultLine: _result,
    Seal: _seal,
}
