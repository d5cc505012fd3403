"""How long to wait before something is tried again."""

from datetime import timedelta
from random import SystemRandom

import msgspec

_random = SystemRandom()


class Waits(msgspec.Struct, frozen=True, kw_only=True):
    """Growing waits with full jitter: any time from none to a bound that doubles with each attempt.

    Full jitter keeps many that failed together from coming back together. ``attempts`` is how
    often something is tried at all.
    """

    first: timedelta
    longest: timedelta
    attempts: int

    def bound(self, attempt: int) -> timedelta:
        """The longest wait after so many attempts, counted from 1."""
        doublings = min(attempt - 1, 40)  # beyond that any first wait is past any longest one
        return min(self.longest, self.first * (1 << doublings))

    def after(self, attempt: int) -> timedelta:
        """The wait after so many attempts."""
        return self.bound(attempt) * _random.random()
