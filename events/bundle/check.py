"""Checking a bundle offline: proofs, signatures, digests, and the placings derived again."""

from collections.abc import Iterator

import msgspec

from events.bundle.format import RESULT_KIND, SEAL_KIND, Seal, path_bytes, read_line
from events.bundle.reading import Fault, Keys, Reading, line_faults
from events.judged_class.events import ClassScheduled
from events.projections.history import History
from events.projections.result import ResultDocument, official_versions, result_document
from events.proof.checkpoint import Checkpoint
from events.proof.document import require_document
from events.proof.refused import ProofRefused
from events.proof.verify import verify_consistency


class Report(msgspec.Struct, frozen=True, kw_only=True):
    """What was found: sound when there are no faults."""

    stream: str | None
    events: int
    checkpoint: Checkpoint | None
    results: tuple[ResultDocument, ...]
    faults: tuple[Fault, ...]


def check_bundle(data: bytes, keys: Keys, earlier: Checkpoint | None = None) -> Report:
    """Everything that does not hold in the bundle, in the order of its lines.

    With ``earlier``, a checkpoint somebody kept, also that nothing before it was rewritten since.
    """
    reading = Reading()
    faults = [*_seal_faults(data, keys)]
    lines = data.split(b"\n")
    for number, raw in enumerate(lines[:-1] if lines[-1] == b"" else lines, start=1):
        faults.extend(line_faults(reading, number, raw, keys))
    faults.extend(_whole_faults(reading))
    if earlier is not None:
        faults.extend(_earlier_faults(reading, earlier))
    derived: list[ResultDocument] = []
    faults.extend(_result_faults(reading, keys, derived))
    return Report(
        stream=reading.head.stream if reading.head else None,
        events=len(reading.events),
        checkpoint=reading.checkpoint,
        results=tuple(derived),
        faults=tuple(faults),
    )


def _seal_faults(data: bytes, keys: Keys) -> Iterator[Fault]:
    body, newline, last = data.removesuffix(b"\n").rpartition(b"\n")
    seal = read_line(last)
    if not newline or not data.endswith(b"\n") or not isinstance(seal, Seal):
        yield Fault(code="seal_missing", says="The bundle does not end with its seal: it is cut.")
        return
    try:
        require_document(keys.text_of(seal.note.encode()), SEAL_KIND, body + b"\n")
    except ProofRefused as refused:
        yield Fault(
            code="seal_broken",
            says=f"The bundle is not as it was sealed: {refused.message}.",
        )


def _whole_faults(reading: Reading) -> Iterator[Fault]:
    if reading.head is None:
        reading.sound = False
        yield Fault(code="head_missing", says="The bundle has no first line.")
        return
    last = reading.events[-1].version if reading.events else 0
    if last < reading.head.events:
        reading.sound = False
        missing = f"{last + 1} to {reading.head.events}"
        yield Fault(
            code="event_missing",
            says=f"Events {missing} of the class are missing at the end.",
            version=last + 1,
        )
    scheduled = reading.events[0].data if reading.events else None
    if reading.book is None or not isinstance(scheduled, ClassScheduled):
        reading.sound = False
        yield Fault(code="rulebook_missing", says="The class or its rule book is not there.")
    elif scheduled.rulebook.digest != reading.book_digest:
        reading.sound = False
        yield Fault(
            code="rulebook_of_another_class",
            says="The class is held to another rule book than the one in the bundle.",
            version=1,
        )


def _earlier_faults(reading: Reading, earlier: Checkpoint) -> Iterator[Fault]:
    if reading.checkpoint is None:
        return
    proof = reading.consistency
    same = reading.checkpoint.size == earlier.size
    if not same and (proof is None or proof.first != earlier.size):
        yield Fault(
            code="consistency_missing",
            says=f"The bundle brings no proof from the checkpoint of {earlier.size} events; ask "
            "for one made since then.",
        )
        return
    try:
        verify_consistency(
            path_bytes(proof.path) if proof is not None and not same else (),
            first=earlier.size,
            second=reading.checkpoint.size,
            first_root=earlier.root,
            second_root=reading.checkpoint.root,
        )
    except ProofRefused as refused:
        yield Fault(
            code="log_rewritten",
            says=f"The log was rewritten since the checkpoint of {earlier.size} events: "
            f"{refused.message}.",
        )


def _result_faults(reading: Reading, keys: Keys, derived: list[ResultDocument]) -> Iterator[Fault]:
    if not reading.sound or reading.book is None:
        return
    history = History(reading.events)
    official = official_versions(history)
    if len(official) != len(reading.results):
        yield Fault(
            code="results_missing",
            says=f"The class became official {len(official)} times, and the bundle holds "
            f"{len(reading.results)} results.",
        )
    for version, (number, line) in zip(official, reading.results, strict=False):
        document = result_document(history, version, reading.book)
        if document.canonical() != bytes(line.document):
            yield Fault(
                code="result_differs",
                says=f"The events give other results than revision {document.revision} says.",
                line=number,
                version=version,
            )
            continue
        try:
            require_document(keys.text_of(line.note.encode()), RESULT_KIND, bytes(line.document))
        except ProofRefused as refused:
            yield Fault(
                code="result_not_signed",
                says=f"Revision {document.revision} is not signed: {refused.message}.",
                line=number,
                version=version,
            )
            continue
        derived.append(document)
