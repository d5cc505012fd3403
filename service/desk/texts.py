"""Free text on its way into the log, and out again.

Commands reach the desk with plain text in the fields that name a text; what goes on to the core,
and into the log, holds references instead.
"""

from collections.abc import Iterable, Iterator, Mapping
from typing import TypeVar

import msgspec

from events.envelope import TextRef
from service.store.texts import SealedText, seal

TEXT_FIELDS = ("reason", "note", "statement")
"""The fields of commands and events that name a text, and never anything else."""

WITHHELD = "withheld"
"""What is read in place of a text that was withheld, or that is not for the reader."""

S = TypeVar("S", bound=msgspec.Struct)


def sealed(command: S) -> tuple[S, tuple[SealedText, ...]]:
    """The command with a reference for each of its texts, and the texts to keep beside the log."""
    changes: dict[str, object] = {}
    kept: list[SealedText] = []
    for field in TEXT_FIELDS:
        if (body := getattr(command, field, None)) is not None:
            kept.append(seal(body))
            changes[field] = kept[-1].ref
    fact = getattr(command, "fact", None)
    if isinstance(fact, msgspec.Struct):
        changes["fact"], inside = sealed(fact)
        kept.extend(inside)
    return msgspec.structs.replace(command, **changes), tuple(kept)


def refs(of: Iterable[msgspec.Struct]) -> Iterator[TextRef]:
    """Every text that these events name."""
    for event in of:
        for field in TEXT_FIELDS:
            if (ref := getattr(event, field, None)) is not None:
                yield ref
        fact = getattr(event, "fact", None)
        if isinstance(fact, msgspec.Struct):
            yield from refs([fact])


def shown(ref: TextRef, bodies: Mapping[TextRef, str | None]) -> str:
    """The text as it is read."""
    body = bodies.get(ref)
    return WITHHELD if body is None else body
