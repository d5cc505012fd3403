"""Ways to spoil a bundle, each with the events that the checker has to name for it."""

from collections.abc import Callable
from random import Random
from typing import NamedTuple

import msgspec

from events.bundle.format import RESULT_KIND, EventLine, ResultLine, Seal, line_bytes, read_line
from events.catalogue import CODEC
from events.envelope import NewEvent, RecordedEvent
from events.judged_class import events as happened
from events.proof.document import document_text
from events.proof.hashing import leaf_hash
from tests.core.bundle.bundles import (
    STRANGER,
    STRANGER_OF_THAT_NAME,
    Logged,
    note,
    sealed_bytes,
)
from tests.core.proof.notes import BOB

LF = b"\n"


class Spoilt(NamedTuple):
    """A spoilt bundle; one of ``versions``, where there are any, has to be named."""

    data: bytes
    versions: frozenset[int] = frozenset()


class Whole(NamedTuple):
    """A sound bundle, its lines with their newlines, and the version of each event line."""

    log: Logged
    data: bytes
    lines: list[bytes]
    version_at: dict[int, int]


def whole(log: Logged, since: int | None = None) -> Whole:
    data = log.bundle(since)
    lines = data.splitlines(keepends=True)
    version_at = {}
    for index, line in enumerate(lines):
        read = read_line(line.removesuffix(LF))
        if isinstance(read, EventLine):
            version_at[index] = CODEC.decode(bytes(read.event), 1).version
    return Whole(log, data, lines, version_at)


Mutation = Callable[[Whole, Random], Spoilt]


def _of(of: Whole, *indexes: int) -> frozenset[int]:
    return frozenset(of.version_at[index] for index in indexes if index in of.version_at)


def _line_of(of: Whole, offset: int) -> int:
    return of.data.count(LF, 0, offset)


def byte_changed(of: Whole, random: Random) -> Spoilt:
    offset = random.randrange(len(of.data))
    changed = of.data[offset] ^ (1 << random.randrange(8))
    data = of.data[:offset] + bytes((changed,)) + of.data[offset + 1 :]
    return Spoilt(data, _of(of, _line_of(of, offset)))


def byte_replaced(of: Whole, random: Random) -> Spoilt:
    """By one that JSON is made of, so that many lines can still be read."""
    offset = random.randrange(len(of.data))
    changed = random.choice(b'0123456789abcdefABZ+/="{}[]:,.\\ \t\r\n-')
    data = of.data[:offset] + bytes((changed,)) + of.data[offset + 1 :]
    return Spoilt(data, _of(of, _line_of(of, offset)))


def byte_removed(of: Whole, random: Random) -> Spoilt:
    offset = random.randrange(len(of.data))
    return Spoilt(of.data[:offset] + of.data[offset + 1 :], _of(of, _line_of(of, offset)))


def byte_added(of: Whole, random: Random) -> Spoilt:
    offset = random.randrange(len(of.data))
    added = random.choice(b'09aZ"{}[]:, \t\n\x00\xff')
    line = _line_of(of, offset)
    start = offset == 0 or of.data[offset - 1 : offset] == LF
    # A line added before another touches neither.
    versions = frozenset() if start and added == LF[0] else _of(of, line)
    return Spoilt(of.data[:offset] + bytes((added,)) + of.data[offset:], versions)


def cut(of: Whole, random: Random) -> Spoilt:
    offset = random.randrange(len(of.data))
    whole_line = of.data[offset : offset + 1] == LF  # then it is the next one that is cut off
    return Spoilt(of.data[:offset], _of(of, _line_of(of, offset) + whole_line))


def cut_after_a_line(of: Whole, random: Random) -> Spoilt:
    count = random.randrange(len(of.lines))
    return Spoilt(b"".join(of.lines[:count]), _of(of, count))


def cut_out(of: Whole, random: Random) -> Spoilt:
    first = random.randrange(len(of.data))
    last = min(len(of.data), first + 1 + random.randrange(2000))
    return Spoilt(of.data[:first] + of.data[last:], _of(of, _line_of(of, first)))


def line_removed(of: Whole, random: Random) -> Spoilt:
    index = random.randrange(len(of.lines))
    return Spoilt(b"".join(of.lines[:index] + of.lines[index + 1 :]), _of(of, index))


def lines_swapped(of: Whole, random: Random) -> Spoilt:
    lines = list(of.lines)
    first, second = random.sample(range(len(lines)), 2)
    lines[first], lines[second] = lines[second], lines[first]
    events = [of.lines[index] for index in of.version_at]
    # Between events that keep their order no event is touched: the lines are named by number.
    touched = [line for line in lines if line in events] != events
    return Spoilt(b"".join(lines), _of(of, first, second) if touched else frozenset())


def line_doubled(of: Whole, random: Random) -> Spoilt:
    index, where = random.randrange(len(of.lines)), random.randrange(len(of.lines) + 1)
    lines = [*of.lines[:where], of.lines[index], *of.lines[where:]]
    return Spoilt(b"".join(lines))


def line_moved(of: Whole, random: Random) -> Spoilt:
    lines = list(of.lines)
    index, where = random.sample(range(len(lines)), 2)
    lines.insert(where, lines.pop(index))
    return Spoilt(b"".join(lines))


def line_added(of: Whole, random: Random) -> Spoilt:
    added = random.choice([b"\n", b"{}\n", b"null\n", b'{"kind":"event"}\n', _foreign(of, random)])
    where = random.randrange(len(of.lines) + 1)
    return Spoilt(b"".join([*of.lines[:where], added, *of.lines[where:]]))


def end_added(of: Whole, random: Random) -> Spoilt:
    ends = [b"\n", b" ", b"\x00", b"\r\n", b"{}", of.lines[-1], of.data, b"\xff"]
    return Spoilt(of.data + random.choice(ends))


def _foreign(of: Whole, random: Random) -> bytes:
    """A line that proves some other event of the log; that event is of no class."""
    taken = {event.position for event in of.log.told.events}
    others = [position for position in range(1, of.log.size + 1) if position not in taken]
    position = random.choice(others)
    raw = b"another event %d" % position
    assert leaf_hash(raw) == of.log.leaves[position - 1]
    proved = EventLine(position=position, path=of.log.path(position), event=msgspec.Raw(b"0"))
    return line_bytes(proved)


def _event_lines(of: Whole) -> list[tuple[int, EventLine]]:
    lines = []
    for index in of.version_at:
        read = read_line(of.lines[index].removesuffix(LF))
        assert isinstance(read, EventLine)
        lines.append((index, read))
    return lines


def _with(of: Whole, index: int, line: bytes) -> list[bytes]:
    return [*of.lines[:index], line, *of.lines[index + 1 :]]


def event_retold(of: Whole, random: Random) -> Spoilt:
    """Another valid event in an event's place: same envelope, something else happened."""
    index, line = random.choice(_event_lines(of))
    event = CODEC.decode(bytes(line.event), line.position)
    raw = _raw(event, _another(event, random))
    retold = msgspec.structs.replace(line, event=msgspec.Raw(raw))
    return Spoilt(b"".join(_with(of, index, line_bytes(retold))), _of(of, index))


def _another(event: RecordedEvent, random: Random) -> RecordedEvent:
    data = event.data
    if isinstance(data, happened.MarkGiven) and random.randrange(3):
        better = msgspec.structs.replace(data, mark=data.mark + random.choice((-1, 1)))
        return msgspec.structs.replace(event, data=better)
    what = random.randrange(4)
    if what == 0:
        return msgspec.structs.replace(event, version=event.version + random.choice((-1, 1, 100)))
    if what == 1:
        return msgspec.structs.replace(event, id=f"{event.id}0")
    if what == 2:
        actor = msgspec.structs.replace(event.actor, key="somebody-else")
        return msgspec.structs.replace(event, actor=actor)
    return msgspec.structs.replace(event, data=happened.CardSigned(seat=f"Z{random.random()}"))


def _raw(event: RecordedEvent, other: RecordedEvent) -> bytes:
    new = NewEvent(
        id=other.id,
        command=other.command,
        actor=other.actor,
        occurred_at=other.occurred_at,
        data=other.data,
    )
    encoded = CODEC.encode(new, stream=event.stream, version=other.version)
    return encoded.at(event.recorded_at)


def event_in_anothers_place(of: Whole, random: Random) -> Spoilt:
    """The event of one line with the position and the proof of another."""
    (here, line), (_, there) = random.sample(_event_lines(of), 2)
    mixed = msgspec.structs.replace(line, event=there.event)
    return Spoilt(b"".join(_with(of, here, line_bytes(mixed))), _of(of, here))


def path_spoilt(of: Whole, random: Random) -> Spoilt:
    index, line = random.choice(_event_lines(of))
    path = list(line.path)
    match random.randrange(4):
        case 0:
            path.pop(random.randrange(len(path)))
        case 1:
            path.insert(random.randrange(len(path) + 1), random.choice(path))
        case 2:
            path[random.randrange(len(path))] = "not base64"
        case _:
            path.reverse()
    if tuple(path) == line.path:
        path.append(path[0])
    spoilt = msgspec.structs.replace(line, path=tuple(path))
    return Spoilt(b"".join(_with(of, index, line_bytes(spoilt))), _of(of, index))


def _results(of: Whole) -> list[int]:
    start = max(of.version_at) + 1
    return list(range(start, len(of.lines) - 1))


def results_mixed(of: Whole, random: Random) -> Spoilt:
    """The document, the note or the proof of one revision in the other."""
    first, second = random.sample(_results(of), 2)
    one, other = (msgspec.json.decode(of.lines[n], type=ResultLine) for n in (first, second))
    part = random.choice(("document", "note", "path"))
    mixed = msgspec.structs.replace(one, **{part: getattr(other, part)})
    return Spoilt(b"".join(_with(of, first, line_bytes(mixed))))


def sealed_by_a_stranger(of: Whole, random: Random) -> Spoilt:
    stranger = random.choice((STRANGER, STRANGER_OF_THAT_NAME, BOB))
    inner = random.choice((_unchanged, *_INNER))(of, random)
    body = b"".join(inner.data.splitlines(keepends=True)[:-1])
    return Spoilt(sealed_bytes(body, stranger))


def signed_by_a_stranger(of: Whole, random: Random) -> Spoilt:
    """The checkpoint or a result signed by another key, and everything sealed by the log's own."""
    stranger = random.choice((STRANGER, STRANGER_OF_THAT_NAME, BOB))
    if random.randrange(2):
        line = line_bytes(of.log.head(stranger))
        return _resealed(_with(of, 0, line))
    index = random.choice(_results(of))
    result = msgspec.json.decode(of.lines[index], type=ResultLine)
    text = document_text(RESULT_KIND, bytes(result.document))
    forged = msgspec.structs.replace(result, note=note(text, stranger))
    return _resealed(_with(of, index, line_bytes(forged)))


def seal_spoilt(of: Whole, random: Random) -> Spoilt:
    """What a reader of notes may leave out of account, and a reader of seals may not."""
    seal = msgspec.json.decode(of.lines[-1], type=Seal)
    text, signature = seal.note.rsplit("\n\n")
    others = [note(f"{text}\n", key).rsplit("\n\n")[1] for key in (STRANGER, BOB)]
    spoilt = random.choice(
        (
            f"{text}\n\n{signature}{signature}",
            f"{text}\n\n{signature}{others[0]}",
            f"{text}\n\n{others[1]}{signature}",
            f"{text}\n\n{others[random.randrange(2)]}",
            f"\n{seal.note}",
            f"{seal.note}\n",
        )
    )
    return Spoilt(b"".join([*of.lines[:-1], line_bytes(Seal(note=spoilt))]))


def _unchanged(of: Whole, _: Random) -> Spoilt:
    return Spoilt(of.data)


def _resealed(lines: list[bytes], versions: frozenset[int] = frozenset()) -> Spoilt:
    return Spoilt(sealed_bytes(b"".join(lines[:-1])), versions)


def spoilt_by_the_office(of: Whole, random: Random) -> Spoilt:
    """Whoever has the log's own key seals it again; the proofs stand against that."""
    inner = random.choice(_INNER)(of, random)
    lines = inner.data.splitlines(keepends=True)
    return _resealed(lines, inner.versions)


def line_removed_within(of: Whole, random: Random) -> Spoilt:
    """Not a consistency proof, which nobody asks for without an earlier checkpoint."""
    index = random.choice([0, 1, *of.version_at, *_results(of)])
    return Spoilt(b"".join(of.lines[:index] + of.lines[index + 1 :]), _of(of, index))


def events_swapped(of: Whole, random: Random) -> Spoilt:
    lines = list(of.lines)
    first, second = random.sample(sorted(of.version_at), 2)
    lines[first], lines[second] = lines[second], lines[first]
    return Spoilt(b"".join(lines), _of(of, first, second))


def event_doubled(of: Whole, random: Random) -> Spoilt:
    index, where = random.choice(list(of.version_at)), random.randrange(len(of.lines))
    return Spoilt(b"".join([*of.lines[:where], of.lines[index], *of.lines[where:]]))


_INNER: tuple[Mutation, ...] = (
    line_removed_within,
    events_swapped,
    event_doubled,
    event_retold,
    event_in_anothers_place,
    path_spoilt,
    results_mixed,
)

MUTATIONS: dict[Mutation, int] = {
    byte_changed: 2000,
    byte_replaced: 900,
    byte_removed: 400,
    byte_added: 400,
    cut: 400,
    cut_after_a_line: 60,
    cut_out: 200,
    line_removed: 60,
    lines_swapped: 250,
    line_doubled: 200,
    line_moved: 200,
    line_added: 200,
    end_added: 20,
    event_retold: 250,
    event_in_anothers_place: 200,
    path_spoilt: 200,
    results_mixed: 40,
    sealed_by_a_stranger: 200,
    signed_by_a_stranger: 40,
    seal_spoilt: 40,
    spoilt_by_the_office: 400,
}
"""Each with how many of them are tried on each bundle."""
