"""Bundles for the tests: a class among other events of a log, proved, signed and sealed.

Signatures are the stand-in of the proof tests, so that thousands can be checked in a moment; the
keys that really sign are held to bundles of their own with the store.
"""

from collections.abc import Iterable, Sequence
from random import Random

import msgspec

from events.bundle.check import Report, check_bundle
from events.bundle.format import (
    RESULT_KIND,
    SEAL_KIND,
    AnyLine,
    Consistency,
    EventLine,
    Head,
    ResultLine,
    RuleBookLine,
    Seal,
    line_bytes,
    path_text,
)
from events.bundle.keys import Keys
from events.projections.result import official_versions, result_document
from events.proof.checkpoint import Checkpoint
from events.proof.document import document_text
from events.proof.hashing import leaf_hash
from events.proof.keys import VerifierKey, verifier_key
from events.proof.note import note_bytes
from events.proof.paths import consistency_proof, inclusion_proof
from events.proof.tree import NodeAt, root_of
from events.rulebook.load import canonical, digest
from tests.core.proof.notes import ALICE, BOB, SUCCESSOR, holds, signed
from tests.core.proof.trees import stored
from tests.histories import tell
from tests.stories import STREAM, Told

KEYS = Keys((ALICE, SUCCESSOR, BOB), holds)
"""The log's two keys, and that of another log."""


STRANGER = verifier_key("elsewhere.example/log", bytes(range(3, 35)))
STRANGER_OF_THAT_NAME = verifier_key(ALICE.name, bytes(range(3, 35)))


def note(text: str, *keys: VerifierKey) -> str:
    return note_bytes(text, [signed(key, text) for key in keys or (ALICE,)]).decode()


class Logged(msgspec.Struct, frozen=True):
    """A story in a log of ``size`` events; the others are not events of its class."""

    told: Told
    leaves: tuple[bytes, ...]
    nodes: dict[NodeAt, bytes]

    @property
    def size(self) -> int:
        return len(self.leaves)

    def checkpoint(self, size: int | None = None) -> Checkpoint:
        upto = self.size if size is None else size
        return Checkpoint(origin=ALICE.name, size=upto, root=root_of(self.leaves[:upto]))

    def path(self, position: int) -> tuple[str, ...]:
        read = self.nodes.__getitem__
        return path_text(inclusion_proof(read, position - 1, self.size))

    def since(self, first: int) -> tuple[str, ...]:
        return path_text(consistency_proof(self.nodes.__getitem__, first, self.size))

    def event_lines(self) -> list[EventLine]:
        return [
            EventLine(
                position=event.position, path=self.path(event.position), event=msgspec.Raw(raw)
            )
            for raw, event in zip(self.told.raws, self.told.events, strict=True)
        ]

    def result_lines(self, *keys: VerifierKey) -> list[ResultLine]:
        lines = []
        for version in official_versions(self.told.history):
            position = self.told.events[version - 1].position
            root = root_of(self.leaves[:position])
            document = result_document(
                self.told.history, version, self.told.book, root=root
            ).canonical()
            lines.append(
                ResultLine(
                    document=msgspec.Raw(document),
                    note=note(document_text(RESULT_KIND, document), *keys),
                    path=self.since(position),
                )
            )
        return lines

    def head(self, *keys: VerifierKey, checkpoint: Checkpoint | None = None) -> Head:
        return Head(
            format=1,
            stream=STREAM,
            events=len(self.told.events),
            checkpoint=note((checkpoint or self.checkpoint()).text(), *keys),
        )

    def rulebook(self) -> RuleBookLine:
        content = msgspec.Raw(canonical(self.told.book))
        return RuleBookLine(digest=digest(self.told.book), content=content)

    def lines(self, since: int | None = None) -> list[AnyLine]:
        """All lines but the seal."""
        proof = () if since is None else (Consistency(first=since, path=self.since(since)),)
        return [
            self.head(),
            self.rulebook(),
            *proof,
            *self.event_lines(),
            *self.result_lines(),
        ]

    def bundle(self, since: int | None = None) -> bytes:
        return sealed(self.lines(since))


def sealed(lines: Iterable[AnyLine], *keys: VerifierKey) -> bytes:
    return sealed_bytes(b"".join(map(line_bytes, lines)), *keys)


def sealed_bytes(body: bytes, *keys: VerifierKey) -> bytes:
    return body + line_bytes(Seal(note=note(document_text(SEAL_KIND, body), *keys)))


def logged(told: Told, after: int = 5) -> Logged:
    """The story in its log, which goes on for some events after it."""
    size = (told.events[-1].position if told.events else 0) + after
    leaves = [leaf_hash(b"another event %d" % position) for position in range(1, size + 1)]
    for raw, event in zip(told.raws, told.events, strict=True):
        leaves[event.position - 1] = leaf_hash(raw)
    return Logged(told, tuple(leaves), stored(leaves))


def stories(count: int, *, revisions: int, most_events: int = 45, seed: int = 1) -> list[Logged]:
    """Stories that became official so many times, the same ones every time."""
    found: list[Logged] = []
    number = 0
    while len(found) < count:
        number += 1
        told = tell(Random(f"bundle-{seed}-{number}").randrange, steps=40)
        official = len(official_versions(told.history))
        if official == revisions and len(told.events) <= most_events:
            found.append(logged(told))
    return found


def check(data: bytes, earlier: Checkpoint | None = None) -> Report:
    return check_bundle(data, KEYS, earlier)


def codes(report: Report) -> Sequence[str]:
    return [fault.code for fault in report.faults]
