"""An append as both databases take it: encoded, but with no place in the log yet."""

from collections.abc import Sequence
from datetime import datetime

import msgspec
from sqlalchemy import Executable

from events.codec import Codec, Encoded
from events.envelope import NewEvent


class CommandRecord(msgspec.Struct, frozen=True, kw_only=True):
    """The command that an append carries out, to be recognised when it is sent again.

    ``command`` counts within ``key``. ``fingerprint`` is a digest of what was asked, and
    ``answer`` whatever small text the sender is to be answered with again.
    """

    key: str
    command: str
    fingerprint: str
    answer: str | None = None


class Batch(msgspec.Struct, frozen=True, kw_only=True):
    """What one append writes, all of it or nothing."""

    stream: str
    expected_version: int
    events: Sequence[NewEvent]
    encoded: Sequence[Encoded]
    command: CommandRecord | None
    beside: Sequence[Executable]

    @property
    def version(self) -> int:
        """The version of the stream once this is appended."""
        return self.expected_version + len(self.events)


class Landed(msgspec.Struct, frozen=True, kw_only=True):
    """Where an append went: its first event is at ``after + 1``."""

    after: int
    recorded_at: datetime


class VersionMoved(Exception):
    """The stream is not at the expected version."""


def encoded_batch(
    codec: Codec,
    stream: str,
    events: Sequence[NewEvent],
    *,
    expected_version: int,
    command: CommandRecord | None,
    beside: Sequence[Executable],
) -> Batch:
    """The batch with its events' bytes; ``NotCanonical`` where an event has none."""
    return Batch(
        stream=stream,
        expected_version=expected_version,
        events=events,
        encoded=[
            codec.encode(new, stream=stream, version=version)
            for version, new in enumerate(events, expected_version + 1)
        ],
        command=command,
        beside=beside,
    )
