"""Who may have signed what stands in a bundle."""

import msgspec

from events.bundle.format import RESULT_KIND, SEAL_KIND
from events.proof.checkpoint import Checkpoint, parse_checkpoint
from events.proof.document import require_document
from events.proof.keys import VerifierKey
from events.proof.note import CheckSignature, OpenedNote, open_note, parse_note
from events.proof.refused import NoteRefused


class Keys(msgspec.Struct, frozen=True):
    """The log's verifier keys, in force and retired, and how a signature is checked with one.

    Keys of several logs may be among them: each log's own keys, named by its origin, sign for it.
    """

    known: tuple[VerifierKey, ...]
    check: CheckSignature

    def checkpoint(self, note: str) -> Checkpoint:
        """The checkpoint in the note, signed by its own log; ``ProofRefused`` otherwise."""
        opened = open_note(note.encode(), self.known, self.check)
        checkpoint = parse_checkpoint(opened.text)
        _require_signer(opened, checkpoint.origin)
        return checkpoint

    def require_result(self, note: str, document: bytes, origin: str) -> None:
        """Raise ``ProofRefused`` unless the log of that origin signed the document as a result."""
        self._require(note, RESULT_KIND, document, origin)

    def require_seal(self, note: str, body: bytes, origin: str) -> None:
        """Raise ``ProofRefused`` unless one signature, of that log, seals exactly these bytes.

        A second one of an unknown key would be bytes that nothing vouches for.
        """
        signatures = len(parse_note(note.encode()).signatures)
        if signatures != 1:
            sentence = f"a seal bears one signature, not {signatures}"
            raise NoteRefused("one_signature", sentence, signatures=signatures)
        self._require(note, SEAL_KIND, body, origin)

    def _require(self, note: str, kind: str, document: bytes, origin: str) -> None:
        opened = open_note(note.encode(), self.known, self.check)
        require_document(opened.text, kind, document)
        _require_signer(opened, origin)


def _require_signer(opened: OpenedNote, origin: str) -> None:
    if all(key.name != origin for key in opened.signed_by):
        sentence = f"no known key of the log {origin} has signed it"
        raise NoteRefused("not_signed_by_known_key", sentence, origin=origin)
