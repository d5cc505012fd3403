"""The workers' jobs in the process that serves: two threads, and nothing else to run.

One follows the log, the other sends what leaves the database, so that a slow receiver holds up
nobody's results.
"""

import os
import threading
import time
from collections.abc import Callable
from datetime import timedelta
from functools import partial

import structlog

from service.store.errors import StoreError
from service.workers import rhythm
from service.workers.follow import NewerRelease, Stuck
from service.workers.works import Works

_journal = structlog.get_logger()


class Embedded:
    """Does all the work of one database in threads of this process, once it is started.

    After a fork the child starts threads of its own when it is next woken.
    """

    def __init__(self, works: Works, tick: timedelta) -> None:
        self._works = works
        self._tick = tick.total_seconds()
        self._again_after = tick * rhythm.OFFERS_LAST
        self._guard = threading.Lock()
        self._pid = 0
        self._begin()

    def start(self) -> None:
        """Begin, unless it has begun."""
        with self._guard:
            if self._pid == os.getpid():
                return
            self._begin()
            self._pid = os.getpid()
            for name, turn in (("follow", self._follow), ("deliver", self._deliver)):
                thread = threading.Thread(target=turn, name=f"ringfold-{name}", daemon=True)
                self._threads.append(thread)
                thread.start()

    def wake(self) -> None:
        """Something was appended, or there is something to send: look at once."""
        self.start()
        self._to_follow.set()
        self._to_deliver.set()

    def stop(self, timeout: float = 30) -> None:
        """End both threads after what they are doing, and wait for them for so many seconds."""
        self._stopping.set()
        self._to_follow.set()
        self._to_deliver.set()
        for thread in self._threads:
            thread.join(timeout)

    def run(self) -> None:
        """Do the work until it is stopped from another thread or by a signal's handler."""
        self.start()
        while not self._stopping.wait(1):
            pass
        self.stop()

    def ask_to_stop(self) -> None:
        """Let ``run`` come to its end; may be called by a signal's handler."""
        self._stopping.set()

    def _begin(self) -> None:
        self._stopping = threading.Event()
        self._to_follow = threading.Event()
        self._to_deliver = threading.Event()
        self._threads: list[threading.Thread] = []

    def _follow(self) -> None:
        regular = (
            _Regularly(rhythm.CHECKPOINT_EVERY, "checkpoint", self._works.checkpoint),
            _Regularly(rhythm.CLEAN_UP_EVERY, "clean up", self._works.clean_up),
        )
        _safely("register", self._works.register)
        while not self._stopping.is_set():
            for name in self._works.followers:
                _safely(name, partial(self._carry_forward, name))
            self._to_deliver.set()
            for each in regular:
                each.look()
            self._to_follow.wait(self._tick)
            self._to_follow.clear()

    def _carry_forward(self, name: str) -> None:
        self._works.follow(name, stop=self._stopping.is_set)

    def _deliver(self) -> None:
        while not self._stopping.is_set():
            _safely("deliver", self._deliver_all)
            self._to_deliver.wait(self._tick)
            self._to_deliver.clear()

    def _deliver_all(self) -> None:
        while offered := self._works.offer(again_after=self._again_after):
            for identifier in offered:
                if self._stopping.is_set():
                    return
                _safely("deliver", partial(self._works.do, identifier))


class _Regularly:
    """Something that is done at intervals, the first time at once."""

    def __init__(self, every: timedelta, name: str, do: Callable[[], object]) -> None:
        self._every = every.total_seconds()
        self._name = name
        self._do = do
        self._next = time.monotonic()

    def look(self) -> None:
        if time.monotonic() >= self._next:
            self._next = time.monotonic() + self._every
            _safely(self._name, self._do)


def _safely(name: str, do: Callable[[], object]) -> None:
    """Do it, and go on whatever happens: it is told in the journal, and is tried again later."""
    try:
        do()
    except Stuck:
        pass  # told in the journal already, and kept with the follower's mark
    except (StoreError, NewerRelease) as error:
        _journal.warning("work_put_off", work=name, reason=str(error))
    except Exception as error:  # noqa: BLE001 - a thread that ends would do nothing more
        _journal.error("work_failed", work=name, exc_info=error)
