"""A clock that stands still until it is moved."""

from datetime import UTC, datetime, timedelta


class Clock:
    """Shows the time at which it was made, and what it was moved by since."""

    def __init__(self) -> None:
        self.now = datetime.now(UTC)

    def __call__(self) -> datetime:
        return self.now

    def move(self, **by: float) -> None:
        self.now += timedelta(**by)
