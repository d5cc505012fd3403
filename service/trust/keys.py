"""The log's signing keys: private halves as files of their owner's, public halves in the database.

Every key is called ``ID.pem`` after the eight digits of its id, with its verifier key beside it as
``ID.pub``. The verifier keys of retired keys stay, in the database and in the folder, so that what
they signed stays good even after the database was restored from before they were made.
"""

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from events.proof.keys import VerifierKey, parse_verifier_key
from events.proof.refused import NoteRefused
from service.signing import SigningKey
from service.store import signing_keys
from service.store.engine import Database
from service.store.signing_keys import KeptKey
from service.trust.errors import TrustError
from service.trust.files import locked, remove, write_new
from service.trust.settings import TrustSettings

_OTHERS = 0o077


class Keys:
    """The keys of one log; may be shared between threads."""

    def __init__(
        self, database: Database, settings: TrustSettings, clock: Callable[[], datetime]
    ) -> None:
        self._database = database
        self._settings = settings
        self._clock = clock
        self._loaded: dict[str, SigningKey] = {}

    def kept(self) -> tuple[KeptKey, ...]:
        """Every key that ever signed for the log, oldest first."""
        return signing_keys.of_log(self._database, self._settings.origin)

    def make(self) -> KeptKey:
        """The first key; ``TrustError`` with the code ``key_in_force`` while there is one."""
        with locked(self._settings.keys_folder()):
            if self._kept_in_force():
                sentence = "a key is in force already: let another follow it instead"
                raise TrustError("key_in_force", sentence, origin=self._settings.origin)
            return self._make()

    def rotate(self) -> KeptKey:
        """One more key, which signs beside those in force until they are retired."""
        with locked(self._settings.keys_folder()):
            self._require_some(self._kept_in_force())
            return self._make()

    def retire(self, identifier: str) -> KeptKey:
        """Let a key sign no more: its private half is removed for good.

        Asked again, it finishes what was cut off. Raises ``TrustError`` with the code
        ``unknown_key``, or ``last_key`` when no other key would be left to sign.
        """
        with locked(self._settings.keys_folder()):
            key = next((key for key in self.kept() if key.id == identifier), None)
            if key is None:
                sentence = f"the log {self._settings.origin} has no key {identifier}"
                raise TrustError("unknown_key", sentence, key=identifier)
            if [each.id for each in self._kept_in_force()] == [identifier]:
                sentence = f"{identifier} is the only key in force: let another follow it first"
                raise TrustError("last_key", sentence, key=identifier)
            # First in the database: a crash then leaves a file that nobody signs with any more.
            signing_keys.retire(
                self._database, self._settings.origin, identifier, now=self._clock()
            )
            remove(self._private(identifier))
        return next(key for key in self.kept() if key.id == identifier)

    def in_force(self) -> tuple[SigningKey, ...]:
        """The keys that sign, oldest first.

        Raises ``TrustError`` with the code ``no_key_in_force``, ``key_file_missing``,
        ``key_file_open`` (others may read it) or ``key_unreadable``.
        """
        kept = self._kept_in_force()
        self._require_some(kept)
        return tuple(self._load(key.id) for key in kept)

    def known(self) -> tuple[VerifierKey, ...]:
        """The log's verifier keys, in force and retired: by them everything it signed is known.

        ``TrustError`` with the code ``key_unreadable`` for a file that is no verifier key.
        """
        texts = {key.verifier for key in self.kept()}
        for path in sorted(self._settings.keys_folder().glob("*.pub")):
            texts.add(path.read_text(encoding="utf-8").strip())
        keys = [_parsed(text) for text in sorted(texts)]
        return tuple(key for key in keys if key.name == self._settings.origin)

    def _kept_in_force(self) -> list[KeptKey]:
        return [key for key in self.kept() if key.in_force]

    def _make(self) -> KeptKey:
        try:
            key = SigningKey.generate(self._settings.origin)
        except NoteRefused as refused:
            raise TrustError("origin_form", f"RINGFOLD_ORIGIN: {refused.message}") from refused
        made = KeptKey(
            origin=key.verifier.name,
            id=key.verifier.id.hex(),
            verifier=key.verifier.text(),
            made_at=self._clock(),
        )
        # First the files: a crash then leaves a key that nobody was told of.
        write_new(self._private(made.id), key.pem(self._settings.passphrase))
        write_new(self._public(made.id), f"{made.verifier}\n".encode())
        signing_keys.add(self._database, made)
        return made

    def _load(self, identifier: str) -> SigningKey:
        if identifier not in self._loaded:
            self._loaded[identifier] = self._read(identifier, self._private(identifier))
        return self._loaded[identifier]

    def _read(self, identifier: str, path: Path) -> SigningKey:
        try:
            mode = path.stat().st_mode
            pem = path.read_bytes()
        except OSError as error:
            sentence = f"the private key {path} cannot be read: {error.strerror}"
            raise TrustError("key_file_missing", sentence, key=identifier) from error
        if mode & _OTHERS:
            sentence = (
                f"others may read the private key {path}: chmod 600 it, and consider a new one"
            )
            raise TrustError("key_file_open", sentence, key=identifier)
        try:
            key = SigningKey.from_pem(self._settings.origin, pem, self._settings.passphrase)
        except NoteRefused as refused:
            sentence = f"{path}: {refused.message}"
            raise TrustError("key_unreadable", sentence, key=identifier) from refused
        if key.verifier.id.hex() != identifier:
            sentence = f"{path} holds another key than its name says"
            raise TrustError("key_unreadable", sentence, key=identifier)
        return key

    def _require_some(self, kept: list[KeptKey]) -> None:
        if not kept:
            sentence = (
                f"the log {self._settings.origin} has no signing key: `ringfold signing-key make` "
                "makes one"
            )
            raise TrustError("no_key_in_force", sentence, origin=self._settings.origin)

    def _private(self, identifier: str) -> Path:
        return self._settings.keys_folder() / f"{identifier}.pem"

    def _public(self, identifier: str) -> Path:
        return self._settings.keys_folder() / f"{identifier}.pub"


def _parsed(text: str) -> VerifierKey:
    try:
        return parse_verifier_key(text)
    except NoteRefused as refused:
        raise TrustError("key_unreadable", f"no verifier key: {refused.message}") from refused
