"""Deriving a bundle's results again from its events, and holding the signed ones to them."""

from collections.abc import Iterator

import msgspec

from events.bundle.format import ResultLine, path_bytes
from events.bundle.keys import Keys
from events.bundle.reading import Fault, Reading
from events.projections.history import History
from events.projections.result import ResultDocument, official_versions, result_document
from events.proof.checkpoint import Checkpoint
from events.proof.refused import ProofRefused
from events.proof.text import from_base64
from events.proof.verify import verify_consistency
from events.rulebook.model import RuleBook


class _Rooted(msgspec.Struct, frozen=True):
    root: str


_read_root = msgspec.json.Decoder(_Rooted)


def result_faults(
    reading: Reading,
    keys: Keys,
    under: tuple[RuleBook, Checkpoint],
    derived: list[ResultDocument],
) -> Iterator[Fault]:
    """What does not hold in the results of a bundle whose other lines do.

    ``under`` is the rule book and the checkpoint that were read. Each revision that holds is added
    to ``derived``.
    """
    book, checkpoint = under
    history = History(tuple(reading.events))
    official = official_versions(history)
    if len(official) != len(reading.results):
        yield Fault(
            code="results_missing" if len(official) > len(reading.results) else "results_too_many",
            says=f"Results became official {len(official)} times, and the bundle holds "
            f"{len(reading.results)} revisions.",
        )
    for version, (number, line) in zip(official, reading.results, strict=False):
        document = _derived(history, version, book, line)
        if document is None:
            says = f"Line {number} is not the results that event {version} made official."
            yield Fault(code="result_differs", says=says, line=number, version=version)
            continue
        try:
            _require_in_log(document, line, checkpoint)
            keys.require_result(line.note, bytes(line.document), checkpoint.origin)
        except ProofRefused as refused:
            says = f"Revision {document.revision} is not good: {refused.message}."
            yield Fault(code="result_refused", says=says, line=number, version=version)
            continue
        derived.append(document)


def _derived(
    history: History, version: int, book: RuleBook, line: ResultLine
) -> ResultDocument | None:
    """The document as the events give it, if the one in the line is the same.

    Only the root is taken from the line: a class does not know it, and the checkpoint proves it.
    """
    try:
        root = from_base64(_read_root.decode(line.document).root, "the root")
    except (ProofRefused, msgspec.DecodeError, UnicodeDecodeError):
        return None
    document = result_document(history, version, book, root=root)
    return document if document.canonical() == bytes(line.document) else None


def _require_in_log(document: ResultDocument, line: ResultLine, checkpoint: Checkpoint) -> None:
    verify_consistency(
        path_bytes(line.path),
        first=document.position,
        second=checkpoint.size,
        first_root=from_base64(document.root, "the root"),
        second_root=checkpoint.root,
    )
