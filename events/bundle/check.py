"""Checking a bundle offline: proofs, signatures, digests, and the placings derived again."""

from collections.abc import Iterator, Sequence

import msgspec

from events.bundle.format import path_bytes
from events.bundle.keys import Keys
from events.bundle.reading import Fault, Reading, line_faults
from events.bundle.results import result_faults
from events.bundle.turns import turn_faults
from events.judged_class.events import ClassScheduled
from events.projections.result import ResultDocument
from events.proof.checkpoint import Checkpoint
from events.proof.refused import ProofRefused
from events.proof.verify import verify_consistency


class Report(msgspec.Struct, frozen=True, kw_only=True):
    """What was found in a bundle.

    ``events`` counts those that hold; ``results`` are the official revisions that were derived
    again and are signed.
    """

    stream: str | None
    events: int
    checkpoint: Checkpoint | None
    results: tuple[ResultDocument, ...]
    faults: tuple[Fault, ...]

    @property
    def sound(self) -> bool:
        """Whether everything holds."""
        return not self.faults


def check_bundle(data: bytes, keys: Keys, earlier: Checkpoint | None = None) -> Report:
    """Everything that does not hold in the bundle, in the order of its lines.

    With ``earlier``, a checkpoint somebody kept, also that nothing before it was rewritten since.
    """
    reading = Reading()
    lines = data.removesuffix(b"\n").split(b"\n")
    faults: list[Fault] = []
    for number, raw in enumerate(lines, start=1):
        faults.extend(line_faults(reading, number, raw, keys))
    faults.extend(_whole_faults(reading))
    derived: list[ResultDocument] = []
    if not faults and reading.book is not None and reading.checkpoint is not None:
        under = reading.book, reading.checkpoint
        faults.extend(result_faults(reading, keys, under, derived))
    if earlier is not None:
        faults.extend(_earlier_faults(reading, earlier))
    faults.extend(_seal_faults(reading, data, lines, keys))
    faults.sort(key=lambda fault: fault.line or len(lines) + 1)
    return Report(
        stream=reading.head.stream if reading.head else None,
        events=len(reading.events),
        checkpoint=reading.checkpoint,
        results=tuple(derived),
        faults=tuple(faults),
    )


def _whole_faults(reading: Reading) -> Iterator[Fault]:
    """What a bundle lacks, or has too much of, once all its lines are read."""
    if reading.head is None:
        in_its_place = reading.events[0].version if reading.lines[:1] == [1] else None
        yield Fault(
            code="head_missing",
            says="The bundle does not begin with its first line"
            + ("." if in_its_place is None else f", but with event {in_its_place}."),
            version=in_its_place,
        )
    yield from turn_faults(reading)
    if reading.book_digest is None and reading.sound:
        yield Fault(code="rulebook_missing", says="The bundle does not hold the rule book.")
    yield from _book_faults(reading)


def _book_faults(reading: Reading) -> Iterator[Fault]:
    """The class is scheduled by its first event, and under no other book than the one read."""
    scheduled = {
        event.version: event.data.rulebook
        for event in reading.events
        if isinstance(event.data, ClassScheduled)
    }
    first = next((event for event in reading.events if event.version == 1), None)
    announced = reading.head.events if reading.head else 0
    if reading.sound and 1 not in scheduled and (first is not None or not announced):
        says = "The class does not begin by being scheduled."
        yield Fault(code="not_scheduled", says=says, version=1)
    for version, ref in scheduled.items():
        if reading.book_digest not in {None, ref.digest}:
            yield Fault(
                code="rulebook_of_another_class",
                says=f"By event {version} the class is held to another rule book than the one "
                "in the bundle.",
                version=version,
            )


def _earlier_faults(reading: Reading, earlier: Checkpoint) -> Iterator[Fault]:
    checkpoint, proof = reading.checkpoint, reading.consistency
    if checkpoint is None:
        return
    if checkpoint.origin != earlier.origin:
        says = f"The earlier checkpoint is of {earlier.origin}, the bundle of {checkpoint.origin}."
        yield Fault(code="checkpoint_of_another_log", says=says)
        return
    if checkpoint.size < earlier.size:
        says = (
            f"The bundle is older than the checkpoint of {earlier.size} events: it goes up to "
            f"{checkpoint.size}; ask for a newer one."
        )
        yield Fault(code="bundle_older", says=says)
        return
    needs_proof = 0 < earlier.size < checkpoint.size
    if needs_proof and (proof is None or proof.first != earlier.size):
        says = (
            f"The bundle brings no proof since the checkpoint of {earlier.size} events; ask for "
            f"one that does: `ringfold bundle CLASS --since {earlier.size}`."
        )
        yield Fault(code="consistency_missing", says=says)
        return
    try:
        verify_consistency(
            path_bytes(proof.path) if proof is not None and needs_proof else (),
            first=earlier.size,
            second=checkpoint.size,
            first_root=earlier.root,
            second_root=checkpoint.root,
        )
    except ProofRefused as refused:
        says = (
            f"The log was rewritten since the checkpoint of {earlier.size} events: "
            f"{refused.message}."
        )
        yield Fault(code="log_rewritten", says=says)


def _seal_faults(
    reading: Reading, data: bytes, lines: Sequence[bytes], keys: Keys
) -> Iterator[Fault]:
    if reading.seal is None or not data.endswith(b"\n"):
        yield Fault(code="seal_missing", says="The bundle does not end with its seal: it was cut.")
        return
    if reading.checkpoint is None:  # whose seal it should be is not known
        return
    number, seal = reading.seal
    body = b"".join(line + b"\n" for line in lines[: number - 1])
    try:
        keys.require_seal(seal.note, body, reading.checkpoint.origin)
    except ProofRefused as refused:
        yield Fault(
            code="seal_broken",
            says=f"The bundle is not as it was sealed: {refused.message}.",
            line=number,
        )
