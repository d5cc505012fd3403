"""The Ed25519 keys of a log: made, kept, and used to sign checkpoints and documents.

A log's keys are named by its origin and told apart by their ids. While one key follows another both
sign; a retired key only verifies, so that what it signed stays good.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Self

from cryptography.exceptions import InvalidSignature, UnsupportedAlgorithm
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey
from cryptography.hazmat.primitives.serialization import (
    BestAvailableEncryption,
    Encoding,
    KeySerializationEncryption,
    NoEncryption,
    PrivateFormat,
    load_pem_private_key,
)

from events.proof.checkpoint import Checkpoint, next_checkpoint, parse_checkpoint
from events.proof.document import document_text, require_document
from events.proof.keys import VerifierKey, verifier_key
from events.proof.note import OpenedNote, Signature, note_bytes, open_note, require_text
from events.proof.refused import NoteRefused


@dataclass(frozen=True, slots=True)
class SigningKey:
    """A private key and the verifier key that others know it by; never shown when printed."""

    verifier: VerifierKey
    private: Ed25519PrivateKey = field(repr=False)

    @classmethod
    def generate(cls, name: str) -> Self:
        """A new key; raises ``NoteRefused`` with the code ``key_name``."""
        return cls._of(name, Ed25519PrivateKey.generate())

    @classmethod
    def from_raw(cls, name: str, raw: bytes) -> Self:
        """The key whose 32 secret bytes (RFC 8032) are ``raw``.

        Raises ``NoteRefused`` with the code ``key_name`` or ``key_unreadable``.
        """
        try:
            private = Ed25519PrivateKey.from_private_bytes(raw)
        except ValueError as error:
            sentence = "the secret of an Ed25519 key has 32 bytes"
            raise NoteRefused("key_unreadable", sentence, name=name) from error
        return cls._of(name, private)

    @classmethod
    def from_pem(cls, name: str, pem: bytes, passphrase: bytes | None = None) -> Self:
        """The key in a PKCS #8 PEM text.

        Raises ``NoteRefused`` with the code ``key_name``, ``key_unreadable`` (no PEM, or another
        passphrase) or ``key_type`` (not Ed25519).
        """
        try:
            private = load_pem_private_key(pem, passphrase)
        except (ValueError, TypeError, UnsupportedAlgorithm) as error:
            sentence = "the key cannot be read: no PEM, or a wrong, missing or needless passphrase"
            raise NoteRefused("key_unreadable", sentence, name=name) from error
        if not isinstance(private, Ed25519PrivateKey):
            raise NoteRefused("key_type", "only Ed25519 keys are known here", name=name)
        return cls._of(name, private)

    @classmethod
    def _of(cls, name: str, private: Ed25519PrivateKey) -> Self:
        public = private.public_key().public_bytes_raw()
        return cls(verifier=verifier_key(name, public), private=private)

    def raw(self) -> bytes:
        """The 32 secret bytes."""
        return self.private.private_bytes_raw()

    def pem(self, passphrase: bytes | None = None) -> bytes:
        """The key as a PKCS #8 PEM text, encrypted when there is a passphrase."""
        encryption: KeySerializationEncryption = NoEncryption()
        if passphrase is not None:
            encryption = BestAvailableEncryption(passphrase)
        return self.private.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, encryption)

    def signature(self, text: str) -> Signature:
        """This key's signature of a note's text."""
        verifier = self.verifier
        value = self.private.sign(text.encode())
        return Signature(name=verifier.name, key_id=verifier.id, value=value)


def holds(public_key: bytes, message: bytes, signature: bytes) -> bool:
    """Whether ``signature`` is the Ed25519 signature of ``message`` by ``public_key``."""
    try:
        Ed25519PublicKey.from_public_bytes(public_key).verify(signature, message)
    except InvalidSignature:
        return False
    return True


def sign_note(text: str, keys: Sequence[SigningKey]) -> bytes:
    """The note with one signature of each key, in their order.

    Raises ``NoteRefused`` with the code ``text_form`` or ``no_signature``.
    """
    require_text(text)
    return note_bytes(text, [key.signature(text) for key in keys])


def verify_note(note: bytes, known: Iterable[VerifierKey]) -> OpenedNote:
    """The note's text and who of ``known`` signed it, as ``open_note`` with Ed25519."""
    return open_note(note, known, holds)


def sign_checkpoint(
    keys: Sequence[SigningKey],
    *,
    known: Iterable[VerifierKey],
    last_signed: bytes | None,
    origin: str,
    size: int,
    root: bytes,
    proof: Sequence[bytes],
) -> bytes:
    """The signed checkpoint that follows ``last_signed``, the newest that was ever signed.

    ``last_signed`` is believed only under a signature of ``known``, the log's keys in force and
    retired. It has to be kept where no restore of the database takes it back. Raises what
    ``verify_note``, ``parse_checkpoint`` and ``next_checkpoint`` raise, and ``NoteRefused`` with
    the code ``key_name`` when a key is not named by the origin.
    """
    for key in keys:
        if key.verifier.name != origin:
            sentence = f"a key called {key.verifier.name} does not sign for the log {origin}"
            raise NoteRefused("key_name", sentence, name=key.verifier.name)
    previous = None if last_signed is None else verify_checkpoint(last_signed, known)
    checkpoint = next_checkpoint(previous, origin=origin, size=size, root=root, proof=proof)
    return sign_note(checkpoint.text(), keys)


def verify_checkpoint(note: bytes, known: Iterable[VerifierKey]) -> Checkpoint:
    """The checkpoint in ``note``, signed by a key of ``known`` that bears its origin's name.

    Raises what ``verify_note`` and ``parse_checkpoint`` raise, and ``NoteRefused`` with the code
    ``not_signed_by_known_key`` when only keys of other names signed it.
    """
    opened = verify_note(note, known)
    checkpoint = parse_checkpoint(opened.text)
    if all(key.name != checkpoint.origin for key in opened.signed_by):
        sentence = f"no known key of the log {checkpoint.origin} has signed its checkpoint"
        raise NoteRefused("not_signed_by_known_key", sentence, origin=checkpoint.origin)
    return checkpoint


def sign_document(kind: str, document: bytes, keys: Sequence[SigningKey]) -> bytes:
    """The note that lies beside ``document`` and signs its exact bytes as a ``kind``.

    Raises ``NoteRefused`` with the code ``document_kind`` or ``no_signature``.
    """
    return sign_note(document_text(kind, document), keys)


def verify_document(
    kind: str, document: bytes, note: bytes, known: Iterable[VerifierKey]
) -> tuple[VerifierKey, ...]:
    """Who of ``known`` signed ``document`` as a ``kind``.

    Raises what ``verify_note`` raises, and ``NoteRefused`` with the code ``document_kind``,
    ``another_kind`` or ``document_differs``.
    """
    opened = verify_note(note, known)
    require_document(opened.text, kind, document)
    return opened.signed_by
