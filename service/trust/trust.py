"""Everything that proves the log to others, in one place."""

from collections.abc import Callable
from datetime import UTC, datetime

import msgspec

from events.judged_class.events import ResultsMadeOfficial
from events.proof.refused import ProofRefused
from events.refusals import Refusal
from service.signing import sign_document, verify_checkpoint
from service.store import checkpoints
from service.store.checkpoints import SignedCheckpoint
from service.store.engine import Database
from service.store.log import Log
from service.store.merkle import roots_from_bytes
from service.store.signing_keys import KeptKey
from service.trust.bundle import bundle_of
from service.trust.class_story import class_story
from service.trust.errors import TrustError
from service.trust.keys import Keys
from service.trust.last_signed import LastSigned
from service.trust.proofs import Consistency, Inclusion, consistency, inclusion, root_at
from service.trust.results import SignedResult, signed_results
from service.trust.settings import TrustSettings
from service.trust.signer import Signer


def utc_now() -> datetime:
    """The server's clock."""
    return datetime.now(UTC)


class Disagreement(msgspec.Struct, frozen=True, kw_only=True):
    """A checkpoint that was signed once, and in what the log's own bytes do not agree with it."""

    size: int
    says: str


class Trust:
    """The proofs of one log and the signatures in its name; may be shared between threads.

    Whatever signs raises ``TrustError`` where the keys, or what was signed before, do not allow it.
    """

    def __init__(
        self,
        database: Database,
        settings: TrustSettings,
        clock: Callable[[], datetime] = utc_now,
    ) -> None:
        self.database = database
        self.settings = settings
        self.keys = Keys(database, settings, clock)
        self._log = Log(database)
        self._signer = Signer(database, settings, self.keys, clock)

    # --- checkpoints and proofs ---------------------------------------------------------------

    def checkpoint_now(self) -> SignedCheckpoint:
        """The signed checkpoint over the log as it is now, the last one if that covers it."""
        return self._signer.sign_now()

    def latest_checkpoint(self) -> SignedCheckpoint | None:
        """The newest checkpoint that was signed; reading it signs nothing."""
        with self.database.reading() as connection:
            return checkpoints.newest(connection, self.settings.origin)

    def inclusion(self, position: int, size: int | None = None) -> Inclusion:
        """The proof that an event is in the log, in the tree of the newest checkpoint or of a size.

        Raises ``Refusal`` with the code ``no_checkpoint``, ``unknown_size`` or
        ``position_beyond_size``.
        """
        return inclusion(self.database, position, self._size(size))

    def consistency(self, first: int, second: int | None = None) -> Consistency:
        """The proof that the log only grew from ``first`` to the newest checkpoint or to a size.

        Raises ``Refusal`` with the code ``no_checkpoint``, ``unknown_size`` or ``sizes_reversed``.
        """
        return consistency(self.database, first, self._size(second))

    def verifier_keys(self) -> tuple[KeptKey, ...]:
        """The public keys to check it all with, in force and retired, oldest first."""
        return self.keys.kept()

    # --- results and bundles ------------------------------------------------------------------

    def published_result(self, class_id: str, revision: int) -> SignedResult:
        """The signed document of an official revision of a class.

        Raises ``Refusal`` with the code ``unknown_class`` or ``unknown_revision``.
        """
        story = class_story(self._log, class_id)
        self.cover(story.last.position)
        for version, result in signed_results(self.database, self.keys, story).items():
            made = story.history.events[version - 1].data
            if isinstance(made, ResultsMadeOfficial) and made.revision == revision:
                return result
        raise Refusal(
            "unknown_revision",
            f"Class {class_id} has no official revision {revision}.",
            field="revision",
            revision=revision,
        )

    def bundle(self, class_id: str, since: int | None = None) -> bytes:
        """The bundle of a class; with ``since``, the size of an earlier checkpoint, also the proof
        that the log only grew from it.

        Raises ``Refusal`` with the code ``unknown_class`` or ``since_beyond_log``.
        """
        story = class_story(self._log, class_id)
        under = self._covering(max(story.last.position, since or 0))
        if since is not None and not 0 <= since <= under.size:
            raise Refusal(
                "since_beyond_log",
                f"The log has {under.size} events, not {since}.",
                field="since",
                since=since,
                size=under.size,
            )
        results = signed_results(self.database, self.keys, story)
        return bundle_of(self.database, self.keys, story, results, under=under, since=since)

    # --- what publishing asks for -------------------------------------------------------------

    def checkpoint(self) -> None:
        """Sign a checkpoint over the log as it is, unless the last one covers it."""
        self.checkpoint_now()

    def cover(self, position: int) -> None:
        """Have a checkpoint that covers the log up to a position: sign one, unless one does."""
        self._covering(position)

    def covering(self, position: int) -> int:
        """The size of the first checkpoint that covers the log up to a position."""
        with self.database.reading() as connection:
            found = checkpoints.covering(connection, self.settings.origin, position)
        if found is None:
            sentence = f"no checkpoint covers position {position} yet"
            raise TrustError("not_covered", sentence, position=position)
        return found.size

    def root(self, size: int) -> bytes:
        """The root of the tree over the first ``size`` events, which a checkpoint covers."""
        self.covering(size)
        with self.database.reading() as connection:
            return root_at(connection, size)

    def sign(self, kind: str, document: bytes) -> bytes:
        """The note with which every key in force signs the document as a ``kind``."""
        return sign_document(kind, document, self.keys.in_force())

    # --- looking the log over -----------------------------------------------------------------

    def check_log(self) -> tuple[Disagreement, ...]:
        """Every checkpoint ever signed, held against the log's events hashed anew."""
        signed = {each.size: each.note for each in checkpoints.all_of(self.database, self.origin)}
        last = LastSigned(self.settings.keys_folder(), self.origin).read()
        notes = [*signed.values(), *([] if last is None else [last])]
        found = []
        known = self.keys.known()
        try:
            claimed = [verify_checkpoint(note, known) for note in dict.fromkeys(notes)]
        except ProofRefused as refused:
            sentence = f"a checkpoint that was kept is not good: {refused.message}"
            raise TrustError("checkpoint_unreadable", sentence) from refused
        roots = dict(roots_from_bytes(self.database, [each.size for each in claimed]))
        for each in claimed:
            if each.size not in roots:
                says = f"the log has lost events of its checkpoint of {each.size}"
                found.append(Disagreement(size=each.size, says=says))
            elif roots[each.size] != each.root:
                says = f"the log's first {each.size} events are not those that were signed for"
                found.append(Disagreement(size=each.size, says=says))
        return tuple(found)

    @property
    def origin(self) -> str:
        """The log's name in what it signs."""
        return self.settings.origin

    def _size(self, given: int | None) -> int:
        if given is not None:
            return given
        latest = self.latest_checkpoint()
        if latest is None:
            raise Refusal("no_checkpoint", "No checkpoint of the log has been signed yet.")
        return latest.size

    def _covering(self, position: int) -> SignedCheckpoint:
        latest = self.latest_checkpoint()
        if latest is not None and latest.size >= position:
            return latest
        return self.checkpoint_now()
