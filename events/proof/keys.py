"""Ed25519 verifier keys as C2SP signed-note writes them: ``name+key id+base64``."""

from hashlib import sha256

import msgspec

from events.proof.refused import NoteRefused
from events.proof.text import from_base64, is_key_name, to_base64

KEY_ID_BYTES = 4
PUBLIC_KEY_BYTES = 32

_ED25519 = b"\x01"
_PARTS = 3


class VerifierKey(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A public key under the name that its signatures bear.

    A log's keys share its origin as their name, and differ by their ids when one follows another.
    """

    name: str
    public_key: bytes

    @property
    def id(self) -> bytes:
        """The first four bytes of SHA-256(name, newline, 0x01, public key)."""
        text = self.name.encode() + b"\n" + _ED25519 + self.public_key
        return sha256(text).digest()[:KEY_ID_BYTES]

    def text(self) -> str:
        """The key in one line, for people to hand on and for programs to be configured with."""
        return f"{self.name}+{self.id.hex()}+{to_base64(_ED25519 + self.public_key)}"


def verifier_key(name: str, public_key: bytes) -> VerifierKey:
    """The key, once its name and its length are right.

    Raises ``NoteRefused`` with the code ``key_name`` or ``key_length``.
    """
    if not is_key_name(name):
        sentence = f"a key name is not empty and holds no spaces and no plus: {name!r}"
        raise NoteRefused("key_name", sentence, name=name)
    if len(public_key) != PUBLIC_KEY_BYTES:
        sentence = f"an Ed25519 public key has {PUBLIC_KEY_BYTES} bytes, not {len(public_key)}"
        raise NoteRefused("key_length", sentence, name=name)
    return VerifierKey(name=name, public_key=public_key)


def parse_verifier_key(text: str) -> VerifierKey:
    """The key that ``text`` writes in one line.

    Raises ``NoteRefused`` with the code ``key_form``, ``not_base64``, ``key_type`` (not Ed25519),
    ``key_length``, ``key_name`` or ``key_id`` (not the id of this name and key).
    """
    parts = text.split("+", _PARTS - 1)  # base64 has pluses of its own, so the last part keeps them
    if len(parts) != _PARTS:
        raise NoteRefused("key_form", "a verifier key reads name+id+base64")
    name, key_id, encoded = parts
    material = from_base64(encoded, "the public key")
    if not material.startswith(_ED25519):
        raise NoteRefused("key_type", "only Ed25519 keys are known here", name=name)
    key = verifier_key(name, material.removeprefix(_ED25519))
    if key.id.hex() != key_id:
        sentence = f"the id of this key is {key.id.hex()}, not {key_id}"
        raise NoteRefused("key_id", sentence, name=name)
    return key
