"""The hashes that the tree is made of (RFC 9162, section 2.1.1; the same in RFC 6962)."""

from hashlib import sha256

HASH_BYTES = 32

EMPTY_ROOT = sha256(b"").digest()
"""The root of the tree without leaves."""


def leaf_hash(entry: bytes) -> bytes:
    """SHA-256 of 0x00 and the entry, so that no leaf can be passed off as a node."""
    return sha256(b"\x00" + entry).digest()


def node_hash(left: bytes, right: bytes) -> bytes:
    """SHA-256 of 0x01 and the hashes of both halves, left before right."""
    return sha256(b"\x01" + left + right).digest()
