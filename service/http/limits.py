"""How much one client may ask in a minute, so that none takes the server from the others.

Each process counts for itself. Who presents a key is counted by it, and anybody else by address.
"""

import hashlib
import threading
import time
from collections import Counter
from collections.abc import Callable

import msgspec
from flask import Flask, Response, current_app, g, request

from service.http.problems import Unwell, problem

WINDOW = 60
"""Seconds; whatever was asked in one counts until it is over."""

_LIMITER = "ringfold-limiter"


class Allowance(msgspec.Struct, frozen=True, kw_only=True):
    """What is left to a client; ``refreshed_in`` is in seconds. Less than nothing is too much."""

    limit: int
    left: int
    refreshed_in: int

    @property
    def headers(self) -> dict[str, str]:
        """The allowance as answers tell it."""
        return {
            "X-RateLimit-Limit": str(self.limit),
            "X-RateLimit-Remaining": str(max(self.left, 0)),
            "X-RateLimit-Reset": str(self.refreshed_in),
        }


class Limiter:
    """Counts what each client asks; may be shared between threads.

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


def limit(app: Flask, most: int, clock: Callable[[], float] = time.monotonic) -> None:
    """Let each client ask so much in a minute; 0 means as much as it likes."""
    app.extensions[_LIMITER] = Limiter(most, clock) if most else None


def check() -> None:
    """Refuse what is too much, before anything is looked up for it."""
    limiter: Limiter | None = current_app.extensions.get(_LIMITER)
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
