"""Ids for whatever has none yet."""

import secrets
import time
import uuid


def new_id() -> str:
    """A UUID of version 7 (RFC 9562, section 5.7): unique, and in the order of making."""
    milliseconds = time.time_ns() // 1_000_000
    number = milliseconds << 80 | 0x7 << 76 | secrets.randbits(12) << 64
    return str(uuid.UUID(int=number | 0b10 << 62 | secrets.randbits(62)))
