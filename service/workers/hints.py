"""Waking workers through Redis from a process that must not wait for it."""

import os
import threading
from datetime import timedelta

import structlog
from celery import Celery

from service.workers.broker import TICK

TOGETHER = 0.02
"""Seconds in which appends that follow one another wake the workers once."""

QUIET_AFTER_FAILURE = 5.0
"""Seconds in which nothing is sent after Redis did not take a message."""

_journal = structlog.get_logger()


class Hints:
    """Sends one message for all that was appended since the last, from a thread of its own.

    A message that cannot be sent is dropped, and told in the journal: the workers look for
    themselves at every tick.
    """

    def __init__(self, app: Celery, tick: timedelta) -> None:
        self._app = app
        self._expires = tick.total_seconds()
        self._guard = threading.Lock()
        self._pid = 0
        self._wanted = threading.Event()
        self._stopping = threading.Event()

    def start(self) -> None:
        """Nothing is begun before the first wake."""

    def wake(self) -> None:
        """Something was appended, or there is something to send; returns at once."""
        if self._pid != os.getpid():
            self._begin()
        self._wanted.set()

    def stop(self) -> None:
        """End the thread after what it is sending."""
        self._stopping.set()
        self._wanted.set()

    def _begin(self) -> None:
        with self._guard:
            if self._pid != os.getpid():
                self._wanted, self._stopping = threading.Event(), threading.Event()
                threading.Thread(target=self._send, name="ringfold-hints", daemon=True).start()
                self._pid = os.getpid()

    def _send(self) -> None:
        wanted, stopping = self._wanted, self._stopping
        while wanted.wait() and not stopping.is_set():
            wanted.clear()
            quiet = TOGETHER if self._sent() else QUIET_AFTER_FAILURE
            stopping.wait(quiet)

    def _sent(self) -> bool:
        try:
            self._app.send_task(TICK, expires=self._expires, retry=False)
        except Exception as error:  # noqa: BLE001 - whatever is wrong with Redis, nobody waits for it
            _journal.warning("hint_not_sent", reason=f"{type(error).__name__}: {error}")
            return False
        return True
