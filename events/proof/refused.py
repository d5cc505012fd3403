"""Why a proof, a checkpoint or a signed note is not accepted."""

from collections.abc import Mapping

from events.refusals import Fact


class ProofRefused(ValueError):
    """Something that was to prove the log does not: a stable code, a sentence, typed facts.

    Checks raise and answer nothing, because a ``False`` that nobody looks at would pass for proof.
    """

    def __init__(self, code: str, message: str, **facts: Fact) -> None:
        super().__init__(message)
        self.code = code
        self.message = message
        self.facts: Mapping[str, Fact] = facts


class InclusionRefused(ProofRefused):
    """A leaf is not shown to stand at its index in the tree of that size and root."""


class ConsistencyRefused(ProofRefused):
    """The smaller tree is not shown to be the beginning of the larger one."""


class NoteRefused(ProofRefused):
    """A note, a key or the text of a checkpoint is malformed, or not signed as it must be."""


class CheckpointRefused(ProofRefused):
    """A checkpoint would contradict the one signed before it, and must never be signed."""
