"""The recursion of RFC 9162, section 2.1, as slow as it is written: what our tree is held to."""

from collections.abc import Sequence
from hashlib import sha256

Entries = tuple[bytes, ...]


def _hash(data: bytes) -> bytes:
    return sha256(data).digest()


def _k(n: int) -> int:
    """The largest power of two smaller than n, by counting up."""
    k = 1
    while k * 2 < n:
        k *= 2
    return k


def mth(d: Sequence[bytes]) -> bytes:
    """MTH(D_n), section 2.1.1."""
    if len(d) == 0:
        return _hash(b"")
    if len(d) == 1:
        return _hash(b"\x00" + d[0])
    k = _k(len(d))
    return _hash(b"\x01" + mth(d[:k]) + mth(d[k:]))


def path(m: int, d: Sequence[bytes]) -> tuple[bytes, ...]:
    """PATH(m, D_n), section 2.1.3.1."""
    if len(d) == 1:
        return ()
    k = _k(len(d))
    if m < k:
        return (*path(m, d[:k]), mth(d[k:]))
    return (*path(m - k, d[k:]), mth(d[:k]))


def proof(m: int, d: Sequence[bytes]) -> tuple[bytes, ...]:
    """PROOF(m, D_n) for 0 < m < n, section 2.1.4.1."""
    return _subproof(m, d, True)


def _subproof(m: int, d: Sequence[bytes], b: bool) -> tuple[bytes, ...]:
    if m == len(d):
        return () if b else (mth(d),)
    k = _k(len(d))
    if m <= k:
        return (*_subproof(m, d[:k], b), mth(d[k:]))
    return (*_subproof(m - k, d[k:], False), mth(d[:k]))
