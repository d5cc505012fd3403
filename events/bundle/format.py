"""The lines of a bundle, written and read."""

from collections.abc import Sequence
from typing import Literal

import msgspec

from events.proof.text import from_base64, to_base64

FORMAT: Literal[1] = 1
SEAL_KIND = "bundle"
RESULT_KIND = "result"
_encode = msgspec.json.Encoder(order="sorted").encode


class _Line(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, tag_field="kind"
):
    """One line of a bundle."""


class Head(_Line, frozen=True, kw_only=True, tag="bundle"):
    """What follows: how many events of which stream, under which signed checkpoint."""

    format: Literal[1]
    stream: str
    events: int
    checkpoint: str


class RuleBookLine(_Line, frozen=True, kw_only=True, tag="rulebook"):
    """The rule book as it is kept, and the digest the class names."""

    digest: str
    content: msgspec.Raw


class Consistency(_Line, frozen=True, kw_only=True, tag="consistency"):
    """The proof that the log of the checkpoint continues the log of ``first`` events."""

    first: int
    path: tuple[str, ...]


class EventLine(_Line, frozen=True, kw_only=True, tag="event"):
    """One event: its canonical bytes, its position from 1, its inclusion path."""

    position: int
    path: tuple[str, ...]
    event: msgspec.Raw


class ResultLine(_Line, frozen=True, kw_only=True, tag="result"):
    """One official revision: the document, its signature, and where it stands in the log.

    ``path`` proves that the checkpoint's log continues the log at the document's position.
    """

    document: msgspec.Raw
    note: str
    path: tuple[str, ...]


class Seal(_Line, frozen=True, kw_only=True, tag="seal"):
    """The one signature over every byte before it."""

    note: str


AnyLine = Head | RuleBookLine | Consistency | EventLine | ResultLine | Seal
_decoder = msgspec.json.Decoder(AnyLine)


def line_bytes(line: AnyLine) -> bytes:
    """The line with its newline."""
    return _encode(line) + b"\n"


def read_line(raw: bytes) -> AnyLine | None:
    """The line that these bytes (without newline) are in canonical form; ``None`` if none."""
    try:
        line = _decoder.decode(raw)
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError):
        return None
    return line if _encode(line) == raw else None


def path_text(path: Sequence[bytes]) -> tuple[str, ...]:
    """Hashes as a line holds them."""
    return tuple(to_base64(step) for step in path)


def path_bytes(path: Sequence[str]) -> tuple[bytes, ...]:
    """The hashes of a line; ``NoteRefused`` unless each is canonical base64."""
    return tuple(from_base64(step, "a hash") for step in path)
