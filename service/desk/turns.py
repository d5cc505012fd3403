"""Taking turns at one show or class, so that hands which write at once are not in each other's way.

The store would sort them out by deciding again; but whoever loses often enough would be sent away.
"""

import secrets
import threading
import time
import zlib
from collections.abc import Callable
from typing import TypeVar

from service.store.errors import ConcurrencyGaveUp

Done = TypeVar("Done")
ROUNDS = 6
LONGEST_PAUSE_MS = 25


class Turns:
    """Within this process one command at a time goes to a stream; others are waited out."""

    def __init__(self, stripes: int = 64) -> None:
        self._locks = tuple(threading.Lock() for _ in range(stripes))

    def take(self, stream: str, carry_out: Callable[[], Done]) -> Done:
        """What it leads to; ``ConcurrencyGaveUp`` when other processes were faster every time."""
        with self._locks[zlib.crc32(stream.encode()) % len(self._locks)]:
            for _ in range(ROUNDS - 1):
                try:
                    return carry_out()
                except ConcurrencyGaveUp:
                    time.sleep((1 + secrets.randbelow(LONGEST_PAUSE_MS)) / 1000)
            return carry_out()
