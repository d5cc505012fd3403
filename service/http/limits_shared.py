"""One count for every process that serves: what a client asks of any of them counts for all.

It is kept in Redis. Without an answer from there each process counts for itself for a while, so
that nobody waits for a Redis that is gone; the journal says so.
"""

import os
import threading
import time
from collections.abc import Callable

import redis
import structlog
from redis.backoff import NoBackoff
from redis.retry import Retry

from service.http.limits import WINDOW, Allowance, Limiter

PATIENCE = 0.25
"""Seconds that a request waits for Redis at most."""

QUIET_AFTER_FAILURE = 5.0
"""Seconds in which Redis is not asked after it did not answer."""

_PREFIX = "ringfold:asked:"
_journal = structlog.get_logger()


class SharedLimiter:
    """Counts what each client asks of all processes; may be shared between threads.

    A client's minute begins with its first request, and its count expires with the minute.
    """

    def __init__(
        self, most: int, redis_url: str, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self._most = most
        self._clock = clock
        self._alone = Limiter(most, clock)
        self._redis = redis.Redis.from_url(
            redis_url,
            socket_timeout=PATIENCE,
            socket_connect_timeout=PATIENCE,
            # A connection that was closed meanwhile is opened again once; nothing else is repeated.
            retry=Retry(NoBackoff(), 1, supported_errors=(redis.ConnectionError,)),
        )
        self._lock = threading.Lock()
        self._quiet_until = -QUIET_AFTER_FAILURE
        self._apart = False

    def ask(self, who: str) -> Allowance:
        """Count one request; what is left after it."""
        if self._clock() < self._quiet_until:
            return self._alone.ask(who)
        try:
            asked, seconds = self._count(_PREFIX + who)
        except redis.RedisError as error:
            self._fell_apart(error)
            return self._alone.ask(who)
        self._came_together()
        return Allowance(limit=self._most, left=self._most - asked, refreshed_in=max(seconds, 1))

    def _count(self, key: str) -> tuple[int, int]:
        """How often the client asked in its minute, and in how many seconds that is over."""
        with self._redis.pipeline(transaction=True) as all_at_once:
            all_at_once.set(key, 0, ex=WINDOW, nx=True)
            all_at_once.incr(key)
            all_at_once.ttl(key)
            _, asked, seconds = all_at_once.execute()
        return int(asked), int(seconds)

    def _fell_apart(self, error: redis.RedisError) -> None:
        with self._lock:
            self._quiet_until = self._clock() + QUIET_AFTER_FAILURE
            told, self._apart = self._apart, True
        if not told:
            _journal.warning(
                "limits_counted_apart",
                process=os.getpid(),
                reason=f"{type(error).__name__}: {error}",
            )

    def _came_together(self) -> None:
        with self._lock:
            was_apart, self._apart = self._apart, False
        if was_apart:
            _journal.info("limits_counted_together", process=os.getpid())
