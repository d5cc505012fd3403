"""Signing checkpoints, none of which may ever contradict one that was signed before.

In this order: the folder is locked, then the tree; the last checkpoint of the folder and the newest
of the database are both shown to be beginnings of the tree; the new one is signed, written to the
folder, then to the database; only then is it handed out. A crash after any step leaves the folder
at or ahead of the database, and the next signing takes up from there. A database restored from a
backup is behind the folder: it can sign again only if it holds the very events that were signed for
already.
"""

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime

from sqlalchemy import Connection

from events.proof.checkpoint import Checkpoint, next_checkpoint
from events.proof.keys import VerifierKey
from events.proof.paths import consistency_nodes, consistency_proof
from events.proof.refused import CheckpointRefused, ProofRefused
from service.signing import sign_note, verify_checkpoint
from service.store import checkpoints
from service.store.checkpoints import SignedCheckpoint
from service.store.engine import Database
from service.store.merkle import follow_log, lock_tree, read_nodes
from service.trust.errors import TrustError
from service.trust.files import locked
from service.trust.keys import Keys
from service.trust.last_signed import LastSigned
from service.trust.proofs import root_at
from service.trust.settings import TrustSettings


class Signer:
    """Signs for one log; may be shared between threads, and work beside other processes."""

    def __init__(
        self,
        database: Database,
        settings: TrustSettings,
        keys: Keys,
        clock: Callable[[], datetime],
    ) -> None:
        self._database = database
        self._settings = settings
        self._keys = keys
        self._clock = clock

    def sign_now(self) -> SignedCheckpoint:
        """The checkpoint over the whole log as it is now: the last one if nothing was added since.

        Raises ``TrustError`` with a code of ``Keys.in_force``, or with
        ``log_contradicts_checkpoint`` (``reason`` says how: ``tree_shrank``, ``root_changed``,
        ``log_rewritten``), ``last_checkpoint_missing`` or ``last_checkpoint_unreadable``.
        """
        folder = self._settings.keys_folder()
        follow_log(self._database)
        with locked(folder), self._database.writing() as connection:
            size = lock_tree(connection)
            return self._signed(connection, size, LastSigned(folder, self._settings.origin))

    def _signed(self, connection: Connection, size: int, last: LastSigned) -> SignedCheckpoint:
        kept = last.read()
        newest = checkpoints.newest(connection, self._settings.origin)
        if kept is None and newest is not None:
            raise self._missing(last, newest)
        checkpoint = Checkpoint(
            origin=self._settings.origin, size=size, root=root_at(connection, size)
        )
        signed = [kept, newest.note if newest else None]
        before = self._followed(
            connection, checkpoint, [note for note in signed if note is not None]
        )
        note = next((note for note, earlier in before.items() if earlier.size == size), None)
        if note is None:
            note = sign_note(checkpoint.text(), self._keys.in_force())
        if note != kept:
            last.write(note)
        if newest is not None and newest.size == size:
            return newest
        found = SignedCheckpoint(
            origin=checkpoint.origin,
            size=size,
            root=checkpoint.root,
            note=note,
            signed_at=self._clock(),
        )
        checkpoints.keep(connection, found)
        return found

    def _followed(
        self, connection: Connection, checkpoint: Checkpoint, notes: Sequence[bytes]
    ) -> Mapping[bytes, Checkpoint]:
        """The checkpoints in the notes, each shown to be a beginning of the new one."""
        known = self._keys.known()
        before = {note: self._read(note, known) for note in notes}
        earlier: Checkpoint | None
        for earlier in before.values() or (None,):
            proof = () if earlier is None else _proof(connection, earlier.size, checkpoint.size)
            try:
                next_checkpoint(
                    earlier,
                    origin=checkpoint.origin,
                    size=checkpoint.size,
                    root=checkpoint.root,
                    proof=proof,
                )
            except CheckpointRefused as refused:
                raise _contradiction(refused) from refused
            except ProofRefused as refused:
                raise TrustError("origin_form", f"RINGFOLD_ORIGIN: {refused.message}") from refused
        return before

    def _read(self, note: bytes, known: Sequence[VerifierKey]) -> Checkpoint:
        try:
            return verify_checkpoint(note, known)
        except ProofRefused as refused:
            sentence = f"the checkpoint that was signed last is not good: {refused.message}"
            raise TrustError("last_checkpoint_unreadable", sentence) from refused

    def _missing(self, last: LastSigned, newest: SignedCheckpoint) -> TrustError:
        sentence = (
            f"{last.path} is gone, and with it what keeps a restored database from signing again; "
            f"put into it the newest checkpoint that anybody was given, of {newest.size} events "
            "at least"
        )
        return TrustError("last_checkpoint_missing", sentence, size=newest.size)


def _proof(connection: Connection, first: int, second: int) -> tuple[bytes, ...]:
    if first > second:  # there is none, and that is refused in its own words
        return ()
    nodes = read_nodes(connection, consistency_nodes(first, second))
    return consistency_proof(nodes.__getitem__, first, second)


def _contradiction(refused: CheckpointRefused) -> TrustError:
    sentence = (
        f"this log must not sign: {refused.message}. Bring back the events that are missing; if "
        "they are lost, tell those who keep checkpoints, and go on under another RINGFOLD_ORIGIN"
    )
    facts = {**refused.facts, "reason": refused.code}
    return TrustError("log_contradicts_checkpoint", sentence, **facts)
