"""All the work there is on one database, to be done in this process whoever asks for it."""

import time
from collections.abc import Callable, Sequence
from datetime import timedelta
from typing import Protocol

from service.desk.desk import Desk
from service.store import followers as kept
from service.store import outbox, subscribers
from service.store.followers import UnknownFollower
from service.workers.follow import Follower, follow, rebuild
from service.workers.work import Job, do_work

KEPT_DONE = timedelta(days=30)
"""How long a row of the outbox can still be looked at after it was done."""

OFFERED_AT_ONCE = 200


class Checkpoints(Protocol):
    """Whoever signs checkpoints of the log."""

    def checkpoint(self) -> object:
        """Sign a checkpoint over the log as it is, unless the last one covers it."""


class Works:
    """What there is to do: followers to carry forward, rows of the outbox, what comes round.

    Everything here may be done by several processes at once, and again at any time.
    """

    def __init__(
        self,
        desk: Desk,
        followers: Sequence[Follower],
        jobs: Sequence[Job],
        checkpoints: Checkpoints,
    ) -> None:
        self.desk = desk
        self.database = desk.database
        self.clock = desk.clock
        self.followers = {each.name: each for each in followers}
        self._jobs = {each.kind: each for each in jobs}
        self._checkpoints = checkpoints

    def register(self) -> None:
        """Let every follower be seen that has not begun yet."""
        for each in self.followers.values():
            kept.register(self.database, each.name, each.version, now=self.clock())

    def behind(self) -> tuple[str, ...]:
        """The followers that have not come to the end of the log, or are not of this release."""
        marks = {mark.name: mark for mark in kept.marks(self.database)}
        head = self.desk.log.head().position
        return tuple(
            name
            for name, follower in self.followers.items()
            if name not in marks
            or marks[name].position < head
            or marks[name].version < follower.version
        )

    def follow(
        self, name: str, *, within: timedelta | None = None, stop: Callable[[], bool] | None = None
    ) -> bool:
        """Carry a follower forward to the end of the log; whether it got there.

        It does not, when it took longer than ``within`` or ``stop`` said so. Raises as
        ``service.workers.follow.follow`` does.
        """
        follower = self._follower(name)
        until = None if within is None else time.monotonic() + within.total_seconds()
        while follow(self.desk.log, follower, self.clock):
            if (stop and stop()) or (until is not None and time.monotonic() >= until):
                return False
        return True

    def rebuild(self, name: str) -> None:
        """Remove a follower's rows and let it begin again; they come back as it follows."""
        rebuild(self.database, self._follower(name), now=self.clock())

    def offer(self, *, again_after: timedelta) -> tuple[str, ...]:
        """Rows of the outbox that are due and that nobody was offered lately."""
        return outbox.offer(
            self.database, now=self.clock(), limit=OFFERED_AT_ONCE, again_after=again_after
        )

    def do(self, identifier: str) -> bool:
        """Do the work of a row of the outbox, if it is due and free; whether it was done."""
        return do_work(self.database, self._jobs, identifier, self.clock)

    def checkpoint(self) -> None:
        """Sign a checkpoint over the log as it is."""
        self._checkpoints.checkpoint()

    def clean_up(self) -> None:
        """Forget what was done long ago, and secrets that are out of use."""
        now = self.clock()
        outbox.forget_done(self.database, before=now - KEPT_DONE)
        subscribers.forget_expired_secrets(self.database, now=now)

    def _follower(self, name: str) -> Follower:
        known = self.followers.get(name)
        if known is None:
            raise UnknownFollower(name)
        return known
