"""Events as canonical JSON bytes, the bytes that are stored, hashed and proved, and back again.

An event's bytes are sorted, compact JSON of the profile on which RFC 8785 and a fast sorted
encoder agree: no floats, whole numbers below 2**53, ASCII keys, no NUL, no lone surrogates. Times
are RFC 3339 in UTC with six decimals, so that equal instants are equal bytes.
"""

from collections.abc import Callable, Mapping
from datetime import UTC, datetime
from functools import lru_cache
from typing import Any, Generic, TypeVar, get_args

import msgspec

from events.envelope import Actor, Event, Moment, NewEvent, RecordedEvent

D = TypeVar("D")
Upcaster = Callable[[dict[str, Any]], dict[str, Any]]
"""One pure step from an event's data in one schema to its data in the next."""

GREATEST = 2**53 - 1
"""The greatest whole number that every JSON reader keeps exactly."""

_encode = msgspec.json.Encoder(order="sorted").encode
_NO_JSON = (msgspec.DecodeError, UnicodeDecodeError, RecursionError)
"""What reading JSON raises: malformed or of another shape, not UTF-8, nested without end."""
_decode_actor = msgspec.json.Decoder(Actor)


class NotCanonical(ValueError):
    """A value at ``path`` of an event that has no canonical bytes, and why."""

    def __init__(self, path: str, reason: str) -> None:
        super().__init__(f"{path}: {reason}")
        self.path = path
        self.reason = reason


class UnreadableEvent(ValueError):
    """Stored bytes that are not an event as this release knows it."""


class UnknownEventType(UnreadableEvent):
    """A stored event whose tag this release does not know."""

    def __init__(self, tag: object) -> None:
        super().__init__(f"no event type is called {tag!r}")
        self.tag = tag


class UnknownSchema(UnreadableEvent):
    """A stored event of a schema that no upcaster brings to the one that this release knows."""

    def __init__(self, tag: str, schema: int, known: int) -> None:
        super().__init__(f"{tag} has schema {schema}, which cannot be read as schema {known}")
        self.tag = tag
        self.schema = schema
        self.known = known


class Encoded(msgspec.Struct, frozen=True, kw_only=True):
    """An event's bytes around the time of its recording, which only the head of the log knows."""

    prefix: bytes
    suffix: bytes
    type: str
    schema: int

    def at(self, recorded_at: datetime) -> bytes:
        """The event's canonical bytes when it is recorded at that time."""
        return b"%b%b%b" % (self.prefix, time_text(recorded_at).encode(), self.suffix)


class _Stored(msgspec.Struct, Generic[D], frozen=True, kw_only=True, forbid_unknown_fields=True):
    actor: Actor
    command: str
    data: D
    id: str
    occurred_at: Moment
    recorded_at: Moment
    schema: int
    stream: str
    version: int


class _Facts(msgspec.Struct, Generic[D], frozen=True, kw_only=True):
    """What a fold needs of an event; the rest is skipped, not read."""

    data: D
    schema: int


class _LabelledData(msgspec.Struct, frozen=True, kw_only=True):
    type: str


class _Label(msgspec.Struct, frozen=True, kw_only=True):
    data: _LabelledData
    schema: int


_decode_label = msgspec.json.Decoder(_Label)


class Codec:
    """Encodes and decodes the events of one union, older schemas included.

    ``upcasters`` holds, by tag and schema, the step from that schema to the next.
    """

    def __init__(
        self,
        union: Any,  # noqa: ANN401 - the type checker has no name for a union of classes
        upcasters: Mapping[tuple[str, int], Upcaster] | None = None,
    ) -> None:
        classes: tuple[type[Event], ...] = get_args(union) or (union,)
        self.types = {str(each.__struct_config__.tag): each for each in classes}
        self._union = union
        self._upcasters = dict(upcasters or {})
        self._stored: msgspec.json.Decoder[_Stored[Event]] = msgspec.json.Decoder(_Stored[union])
        self._facts: msgspec.json.Decoder[_Facts[Event]] = msgspec.json.Decoder(_Facts[union])
        self._data: msgspec.json.Decoder[Event] = msgspec.json.Decoder(union)

    def encode(self, new: NewEvent, *, stream: str, version: int) -> Encoded:
        """The event's bytes, but for the time of its recording; ``NotCanonical`` if it has none.

        What is encoded is certain to be readable: it has been read once already.
        """
        data, read = self._canonical_data(new.data)
        prefix = (
            b'{"actor":%b,"command":%b,"data":%b,"id":%b,"occurred_at":"%b","recorded_at":"'
            % (
                _canonical_actor(new.actor),
                _encode(_text(new.command, "command")),
                data,
                _encode(_text(new.id, "id")),
                time_text(new.occurred_at, "occurred_at").encode(),
            )
        )
        suffix = b'","schema":%d,"stream":%b,"version":%d}' % (
            read.SCHEMA,
            _encode(_text(stream, "stream")),
            version,
        )
        tag = str(read.__struct_config__.tag)
        return Encoded(prefix=prefix, suffix=suffix, type=tag, schema=read.SCHEMA)

    def decode(self, raw: bytes, position: int) -> RecordedEvent:
        """The event that the bytes at a position of the log are; ``UnreadableEvent`` if none."""
        try:
            stored = self._stored.decode(raw)
            if stored.schema != stored.data.SCHEMA:
                stored = self._decode_older(raw)
        except msgspec.ValidationError:
            stored = self._decode_older(raw)
        except _NO_JSON as error:
            raise UnreadableEvent(str(error)) from error
        return RecordedEvent(
            position=position,
            stream=stored.stream,
            version=stored.version,
            recorded_at=stored.recorded_at,
            id=stored.id,
            command=stored.command,
            actor=stored.actor,
            occurred_at=stored.occurred_at,
            data=stored.data,
        )

    def decode_data(self, raw: bytes) -> Event:
        """What happened, without its envelope: all that a fold needs, and read faster."""
        try:
            facts = self._facts.decode(raw)
        except msgspec.ValidationError:
            return self._decode_older(raw).data
        except _NO_JSON as error:
            raise UnreadableEvent(str(error)) from error
        if facts.schema != facts.data.SCHEMA:
            return self._decode_older(raw).data
        return facts.data

    def _canonical_data(self, data: Event) -> tuple[bytes, Event]:
        # Encoded from what was read back, because a default is left out only when it is the very
        # object that the class names.
        read = _read_back(data, self._data, "data")
        return _encode(_plain(read, "data")), read

    def _decode_older(self, raw: bytes) -> _Stored[Event]:
        try:
            stored = msgspec.json.decode(raw, type=_Stored[dict[str, Any]])
            data = self._upcast(stored.data, stored.schema)
            event: Event = msgspec.convert(data, self._union)
        except _NO_JSON as error:
            raise UnreadableEvent(str(error)) from error
        return _Stored(
            actor=stored.actor,
            command=stored.command,
            data=event,
            id=stored.id,
            occurred_at=stored.occurred_at,
            recorded_at=stored.recorded_at,
            schema=event.SCHEMA,
            stream=stored.stream,
            version=stored.version,
        )

    def _upcast(self, data: dict[str, Any], schema: int) -> dict[str, Any]:
        tag = data.get("type")
        known = self.types.get(tag) if isinstance(tag, str) else None
        if known is None or tag is None:
            raise UnknownEventType(tag)
        reached = schema
        while step := self._upcasters.get((tag, reached)):
            data = step(data)
            reached += 1
        if reached != known.SCHEMA:
            raise UnknownSchema(tag, schema, known.SCHEMA)
        return data


def label(raw: bytes) -> tuple[str, int]:
    """The tag and the schema that an event's bytes name, whether or not they can be read."""
    try:
        found = _decode_label.decode(raw)
    except _NO_JSON as error:
        raise UnreadableEvent(str(error)) from error
    return found.data.type, found.schema


def time_text(moment: datetime, path: str = "recorded_at") -> str:
    """RFC 3339 in UTC with six decimals, so that equal instants are equal texts."""
    if moment.tzinfo is None:
        raise NotCanonical(path, f"{moment.isoformat()} has no time zone")
    return f"{moment.astimezone(UTC).isoformat(timespec='microseconds')[:26]}Z"


@lru_cache(maxsize=1024)
def _canonical_actor(actor: Actor) -> bytes:
    return _encode(_plain(_read_back(actor, _decode_actor, "actor"), "actor"))


def _read_back(value: D, decoder: msgspec.json.Decoder[D], path: str) -> D:
    try:
        return decoder.decode(_encode(value))
    except (msgspec.ValidationError, TypeError, UnicodeEncodeError) as error:
        raise NotCanonical(path, f"{type(value).__name__} cannot be read back: {error}") from error


def _plain(value: object, path: str) -> object:
    """The value as JSON has it, or ``NotCanonical`` naming the part that is outside the profile."""
    return _checked(msgspec.to_builtins(value, builtin_types=(datetime,)), path)


def _checked(value: object, path: str) -> object:
    if isinstance(value, str):
        return _text(value, path)
    if isinstance(value, int):
        if abs(value) > GREATEST:
            raise NotCanonical(path, f"{value} is beyond 2**53 - 1")
        return value
    if isinstance(value, dict):
        return {_key(key, path): _checked(each, f"{path}.{key}") for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [_checked(each, f"{path}[{index}]") for index, each in enumerate(value)]
    if isinstance(value, datetime):
        return time_text(value, path)
    if value is None:
        return None
    raise NotCanonical(path, f"{value!r} is a {type(value).__name__}, which no event may hold")


def _key(key: object, path: str) -> str:
    if not isinstance(key, str) or not key.isascii():
        raise NotCanonical(path, f"the key {key!r} is not ASCII text")
    return _text(key, path)


def _text(value: str, path: str) -> str:
    if "\0" in value:
        raise NotCanonical(path, "text cannot hold a NUL character")
    if not value.isascii():
        try:
            value.encode()
        except UnicodeEncodeError as error:
            raise NotCanonical(path, "text holds half a surrogate pair") from error
    return value
