"""Checkpoints of the tree as C2SP tlog-checkpoint defines them, and which may follow which."""

from collections.abc import Sequence

import msgspec

from events.proof.hashing import EMPTY_ROOT, HASH_BYTES
from events.proof.refused import CheckpointRefused, ConsistencyRefused, NoteRefused
from events.proof.text import (
    from_base64,
    from_decimal,
    is_plain,
    to_base64,
)
from events.proof.verify import verify_consistency

LARGEST_SIZE = 2**63 - 1
"""The most events that a checkpoint may speak of: what a database's big integer holds."""

_LINES = 3


class Checkpoint(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """That the log called ``origin`` had this root when it held ``size`` events."""

    origin: str
    size: int
    root: bytes

    def text(self) -> str:
        """The text that is signed: three lines, each with its newline."""
        return f"{self.origin}\n{self.size}\n{to_base64(self.root)}\n"


def parse_checkpoint(text: str) -> Checkpoint:
    """The checkpoint that a note's text writes in exactly three lines.

    The standard advises against lines of extensions; they are refused, so that one checkpoint has
    one text. Raises ``NoteRefused`` with the code ``checkpoint_form``, ``not_a_size``,
    ``not_base64`` or ``root_form``.
    """
    lines = text.split("\n")
    if len(lines) != _LINES + 1 or lines.pop() != "":
        sentence = "a checkpoint has three lines: origin, size and root"
        raise NoteRefused("checkpoint_form", sentence)
    origin, size, root = lines
    checkpoint = Checkpoint(
        origin=origin, size=from_decimal(size), root=from_base64(root, "the root")
    )
    _require_sound(checkpoint)
    return checkpoint


def next_checkpoint(
    previous: Checkpoint | None, *, origin: str, size: int, root: bytes, proof: Sequence[bytes]
) -> Checkpoint:
    """The checkpoint that may be signed after ``previous``, the last one that was signed.

    ``proof`` shows that the tree of ``previous`` is the beginning of this one; it is empty where
    there is nothing to show. Raises ``NoteRefused`` for values that no checkpoint can have, and
    ``CheckpointRefused`` with the code ``nothing_to_prove`` (a proof, but nothing signed before),
    ``another_origin``, ``tree_shrank``, ``root_changed`` (same size) or ``log_rewritten`` (the
    proof fails): a log that signed both checkpoints would contradict itself.
    """
    checkpoint = Checkpoint(origin=origin, size=size, root=root)
    _require_sound(checkpoint)
    if previous is None:
        if proof:
            raise CheckpointRefused("nothing_to_prove", "a first checkpoint follows none")
        return checkpoint
    _require_no_contradiction(previous, checkpoint)
    try:
        verify_consistency(
            proof,
            first=previous.size,
            second=size,
            first_root=previous.root,
            second_root=root,
        )
    except ConsistencyRefused as error:
        sentence = f"the log of checkpoint {previous.size} was rewritten: {error.message}"
        raise _contradiction("log_rewritten", sentence, previous, checkpoint) from error
    return checkpoint


def _require_no_contradiction(previous: Checkpoint, checkpoint: Checkpoint) -> None:
    if checkpoint.origin != previous.origin:
        sentence = f"the last checkpoint is of the log {previous.origin}"
        raise _contradiction("another_origin", sentence, previous, checkpoint)
    if checkpoint.size < previous.size:
        sentence = f"the log held {previous.size} events already, now {checkpoint.size}"
        raise _contradiction("tree_shrank", sentence, previous, checkpoint)
    if checkpoint.size == previous.size and checkpoint.root != previous.root:
        sentence = f"another root was signed for the same {previous.size} events"
        raise _contradiction("root_changed", sentence, previous, checkpoint)


def _contradiction(
    code: str, sentence: str, previous: Checkpoint, checkpoint: Checkpoint
) -> CheckpointRefused:
    return CheckpointRefused(
        code,
        sentence,
        origin=checkpoint.origin,
        signed_size=previous.size,
        signed_root=to_base64(previous.root),
        size=checkpoint.size,
        root=to_base64(checkpoint.root),
    )


def _require_sound(checkpoint: Checkpoint) -> None:
    if checkpoint.origin == "" or not is_plain(checkpoint.origin):
        raise NoteRefused("checkpoint_form", "the origin is one line of plain text, not empty")
    if not 0 <= checkpoint.size <= LARGEST_SIZE:
        raise NoteRefused("not_a_size", f"{checkpoint.size} is no number of events")
    if len(checkpoint.root) != HASH_BYTES:
        raise NoteRefused("root_form", f"the root has {HASH_BYTES} bytes")
    if checkpoint.size == 0 and checkpoint.root != EMPTY_ROOT:
        raise NoteRefused("root_form", "the tree without leaves has another root")
