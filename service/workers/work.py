"""Doing what the outbox holds: each row once in its effect, however often it is tried."""

from collections.abc import Callable, Mapping
from datetime import datetime, timedelta
from typing import Protocol

import structlog
from sqlalchemy import Connection

from service.store import outbox
from service.store.engine import Database
from service.store.outbox import Work
from service.workers.backoff import Waits
from service.workers.follow import Clock

LEASE = timedelta(seconds=90)
"""How long whoever took a row up may be silent before somebody else does; longer than any job."""

UNKNOWN_WAITS = Waits(first=timedelta(minutes=1), longest=timedelta(minutes=10), attempts=20)
"""For rows that only a newer release can work on."""

Record = Callable[[Connection, datetime], None]
"""Writes the effect of a job, in the transaction that marks its row done."""

_journal = structlog.get_logger()


class TryLater(Exception):
    """The job was not done this time, and why; ``wait`` where it is known how long to wait."""

    def __init__(self, reason: str, wait: timedelta | None = None) -> None:
        super().__init__(reason)
        self.wait = wait


class Job(Protocol):
    """One kind of work."""

    @property
    def kind(self) -> str:
        """What its rows are called."""

    @property
    def waits(self) -> Waits:
        """How often it is tried, and how long is waited between."""

    def carry_out(self, work: Work) -> Record:
        """Do what has to be done outside the database; how that is recorded in it.

        It may be done again for the same row, when it is not known whether it was done. Raises
        ``TryLater``, or anything else for what nobody expected.
        """

    def lock(self, connection: Connection, work: Work) -> None:
        """Lock what recording writes to, before the row is; everybody locks in this order."""

    def failed(self, connection: Connection, work: Work, error: Exception, now: datetime) -> None:
        """Record that an attempt failed, in the transaction that keeps the row for later."""


class UnknownKind(Exception):
    """A row of a kind that this release does not know; a newer one may."""


def do_work(database: Database, jobs: Mapping[str, Job], identifier: str, clock: Clock) -> bool:
    """Take a row up and do its work, if it is due and nobody else has; whether it was done."""
    work = outbox.claim(database, identifier, now=clock(), lease=LEASE)
    if work is None:
        return False
    job = jobs.get(work.kind)
    try:
        record = _carry_out(job, work)
    except Exception as error:  # noqa: BLE001 - whatever it is, it is kept with the row and told
        _keep_for_later(database, job, work, error, clock)
        return False
    return _finish(database, jobs[work.kind], work, record, clock)


def _finish(database: Database, job: Job, work: Work, record: Record, clock: Clock) -> bool:
    with database.writing() as connection:
        job.lock(connection, work)
        done = outbox.finish(connection, work, now=clock())
        if done:
            record(connection, clock())
    return done


def _carry_out(job: Job | None, work: Work) -> Record:
    if job is None:
        raise UnknownKind(work.kind)
    if work.attempts > job.waits.attempts:
        # Attempts are counted when they begin, and of these none ever ended.
        raise TryLater("whoever worked on it was stopped every time")
    return job.carry_out(work)


def _keep_for_later(
    database: Database, job: Job | None, work: Work, error: Exception, clock: Clock
) -> None:
    expected = isinstance(error, TryLater)
    reason = str(error) if expected else f"{type(error).__name__}: {error}"
    waits = job.waits if job else UNKNOWN_WAITS
    dead = work.attempts >= waits.attempts
    _journal.warning(
        "work_failed",
        id=work.id,
        key=work.key,
        attempt=work.attempts,
        given_up=dead,
        reason=reason,
        exc_info=None if expected else error,
    )
    now = clock()
    with database.writing() as connection:
        if job:
            job.lock(connection, work)
        if dead:
            ours = outbox.bury(connection, work, error=reason, now=now)
        else:
            wait = waits.after(work.attempts)
            if isinstance(error, TryLater) and error.wait is not None:
                wait = max(wait, min(error.wait, waits.longest))
            ours = outbox.postpone(connection, work, until=now + wait, error=reason)
        if ours and job:
            job.failed(connection, work, error, now)
