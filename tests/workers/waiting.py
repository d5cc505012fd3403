"""Waiting for what others do, as long as it takes on a busy machine, but not for ever."""

import time
from collections.abc import Callable

LONG_ENOUGH = 60.0


def until(happens: Callable[[], bool], seconds: float = LONG_ENOUGH) -> bool:
    """Whether it has come to that before the time was over."""
    latest = time.monotonic() + seconds
    while not happens():
        if time.monotonic() > latest:
            return False
        time.sleep(0.02)
    return True
