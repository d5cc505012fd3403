"""Requests that wait for something to happen: few at a time, each for a while, none for long.

Each holds one of the server's threads, so that only some may; whoever finds no room is answered at
once. While it waits it holds no connection of the database.
"""

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

MOST_WAITING = 4
"""In one process, of the eight requests that it answers at once."""

LONGEST_WAIT = 20
LOOK_EVERY = 0.5
"""Seconds between two looks at the database."""


class Room:
    """Places for requests that wait."""

    def __init__(self, most: int = MOST_WAITING) -> None:
        self._places = threading.BoundedSemaphore(most)

    @contextmanager
    def place(self) -> Iterator[bool]:
        """Whether there was a place, which is free again afterwards."""
        found = self._places.acquire(blocking=False)
        try:
            yield found
        finally:
            if found:
                self._places.release()

    def take(self) -> Callable[[], None] | None:
        """How to give back the place that was taken; ``None`` where there was none."""
        return self._places.release if self._places.acquire(blocking=False) else None


def wait_until(happened: Callable[[], bool], seconds: float) -> bool:
    """Whether it happened within so many seconds."""
    until = time.monotonic() + seconds
    while not happened():
        left = until - time.monotonic()
        if left <= 0:
            return False
        time.sleep(min(LOOK_EVERY, left))
    return True


ROOM = Room()
"""The places of this process."""
