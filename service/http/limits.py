"""How much one client may ask in a minute, so that none takes the server from the others.

Who presents a key is counted by it, and anybody else by address. A process by itself counts for
itself; several that share a Redis count together.
"""

import hashlib
import threading
import time
from collections import Counter
from collections.abc import Callable
from typing import Protocol

import msgspec
from flask import Flask, Response, current_app, g, request

from service.http.problems import Unwell, problem

WINDOW = 60
"""Seconds; whatever was asked in one counts until it is over."""

_LIMITER = "ringfold-limiter"
_POLICY = "minute"
"""What the limit is called in the headers of the IETF's draft ``RateLimit header fields for HTTP``,
which stand beside those that are common practice."""


class Allowance(msgspec.Struct, frozen=True, kw_only=True):
    """What is left to a client; ``refreshed_in`` is in seconds. Less than nothing is too much."""

    limit: int
    left: int
    refreshed_in: int

    @property
    def headers(self) -> dict[str, str]:
        """The allowance as answers tell it."""
        left = max(self.left, 0)
        return {
            "RateLimit-Policy": f'"{_POLICY}";q={self.limit};w={WINDOW}',
            "RateLimit": f'"{_POLICY}";r={left};t={self.refreshed_in}',
            "X-RateLimit-Limit": str(self.limit),
            "X-RateLimit-Remaining": str(left),
            "X-RateLimit-Reset": str(self.refreshed_in),
        }


class Counting(Protocol):
    """Whoever counts what clients ask."""

    def ask(self, who: str) -> Allowance:
        """Count one request; what is left after it."""
        ...


class Limiter:
    """Counts what each client asks of this process; may be shared between threads.

    What it remembers ends with the window, however many clients there are.
    """

    def __init__(self, most: int, clock: Callable[[], float] = time.monotonic) -> None:
        self._most = most
        self._clock = clock
        self._lock = threading.Lock()
        self._window = -1
        self._asked: Counter[str] = Counter()

    def ask(self, who: str) -> Allowance:
        """Count one request; what is left after it."""
        now = self._clock()
        with self._lock:
            window = int(now // WINDOW)
            if window != self._window:
                self._window, self._asked = window, Counter()
            self._asked[who] += 1
            left = self._most - self._asked[who]
        until = (window + 1) * WINDOW - now
        return Allowance(limit=self._most, left=left, refreshed_in=max(int(until), 1))


def limit(app: Flask, counting: Counting | None) -> None:
    """Let each client ask what whoever counts leaves to it; ``None`` sets no limit."""
    app.extensions[_LIMITER] = counting


def check() -> None:
    """Refuse what is too much, before anything is looked up for it."""
    limiter: Counting | None = current_app.extensions.get(_LIMITER)
    if limiter is None or not request.path.startswith("/v1/"):
        return
    g.allowance = limiter.ask(_who())
    if g.allowance.left < 0:
        again = {"Retry-After": str(g.allowance.refreshed_in)}
        raise Unwell(problem("too_many_requests"), again)


def tell(response: Response) -> Response:
    """Say in the answer what is left."""
    allowance: Allowance | None = g.get("allowance")
    if allowance is not None:
        response.headers.update(allowance.headers)
    return response


def _who() -> str:
    presented = request.headers.get("Authorization")
    if presented is None:
        return f"address {request.remote_addr}"
    # Not the key's public part: anybody could use up what is another's.
    return hashlib.sha256(presented.encode()).hexdigest()
