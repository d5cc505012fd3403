"""The envelope round every event, before and after it is stored, and the names of streams."""

from datetime import datetime
from typing import Annotated, ClassVar, Literal

import msgspec

Moment = Annotated[datetime, msgspec.Meta(tz=True)]
"""A time with a zone; stored and shown in UTC."""

TextRef = str
"""The salted digest under which free text is kept beside the log, where it can be withheld."""

Role = Literal["office", "scribe", "steward", "federation", "public", "system"]
"""Whose hand an action came from. ``system`` is Ringfold itself, e.g. its demo's clockwork."""

StreamKind = Literal["show", "class", "season"]


class Event(
    msgspec.Struct,
    frozen=True,
    kw_only=True,
    forbid_unknown_fields=True,
    omit_defaults=True,
    tag_field="type",
):
    """What happened, in the past tense; its tag is a storage name and never changes.

    ``SCHEMA`` is the version of the event's shape. A new optional field with a default keeps it;
    any other change raises it and brings an upcaster.
    """

    SCHEMA: ClassVar[int] = 1


class Command(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Something that is asked for, in the imperative."""


class Actor(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True
):
    """Who acted: the key that was used, its role, the seat it is bound to, the device in hand."""

    key: str
    role: Role
    seat: str | None = None
    device: str | None = None


class NewEvent(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """An event that is to be appended; it has no place in the log yet."""

    id: str
    command: str
    actor: Actor
    occurred_at: Moment
    data: Event


class RecordedEvent(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """An event in the log.

    ``position`` counts from 1 without gaps over the whole log, ``version`` from 1 without gaps in
    its stream. ``occurred_at`` is the device's time, ``recorded_at`` the server's; the latter
    never decreases along the log.
    """

    position: int
    stream: str
    version: int
    recorded_at: Moment
    id: str
    command: str
    actor: Actor
    occurred_at: Moment
    data: Event


def stream_of(kind: StreamKind, identifier: str) -> str:
    """The stream that holds the story of one show, class or season."""
    return f"{kind}-{identifier}"


def split_stream(stream: str) -> tuple[str, str]:
    """The kind and the identifier that a stream's name is made of."""
    kind, _, identifier = stream.partition("-")
    return kind, identifier
