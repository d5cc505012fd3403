"""Notes for the tests, signed in a way that needs no private keys.

The stand-in for Ed25519 is SHA-512 of public key and message: as long as an Ed25519 signature, and
what it signs it signs. The real algorithm is held to its own tests with the signing keys.
"""

from hashlib import sha512

from hypothesis import strategies as st

from events.proof.keys import VerifierKey, verifier_key
from events.proof.note import Signature
from events.proof.text import is_key_name

ALICE = verifier_key("ringfold.example/spring-show", bytes(range(32)))
BOB = verifier_key("federation.example/witness", bytes(range(1, 33)))
SUCCESSOR = verifier_key(ALICE.name, bytes(range(2, 34)))

names = st.text(st.characters(codec="utf-8", exclude_characters="+"), min_size=1).filter(
    is_key_name
)
lines = st.text(st.characters(codec="utf-8", min_codepoint=0x20))
texts = st.lists(lines, min_size=1).map(lambda parts: "".join(f"{part}\n" for part in parts))


def signed(key: VerifierKey, text: str) -> Signature:
    value = sha512(key.public_key + text.encode()).digest()
    return Signature(name=key.name, key_id=key.id, value=value)


def holds(public_key: bytes, message: bytes, signature: bytes) -> bool:
    return sha512(public_key + message).digest() == signature
