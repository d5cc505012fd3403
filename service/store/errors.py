"""What can go wrong in the store, and how a driver's error is recognised as one of these."""

import sqlite3
from datetime import datetime

import msgspec
import psycopg
from sqlalchemy.exc import DBAPIError


class StoreError(Exception):
    """A request that the store did not carry out; nothing of it was written."""


class WrongExpectedVersion(StoreError):
    """The stream is not at the version that the append was decided on."""

    def __init__(self, stream: str, expected: int, actual: int) -> None:
        super().__init__(f"{stream} is at version {actual}, not {expected}")
        self.stream = stream
        self.expected = expected
        self.actual = actual


class NotTogether(StoreError):
    """Several appends could not be made as one: somebody was faster, or one was made before."""

    def __init__(self, appends: int) -> None:
        super().__init__(f"{appends} appends could not be made as one")
        self.appends = appends


class EventIdTaken(StoreError):
    """One of the events' ids stands in the log already, or twice in one append."""

    def __init__(self, ids: tuple[str, ...]) -> None:
        super().__init__(f"already used as an event's id: {', '.join(ids)}")
        self.ids = ids


class StoredCommand(msgspec.Struct, frozen=True, kw_only=True):
    """What a command led to when it was first carried out.

    Its ``events`` events are the last ones up to ``version`` of ``stream`` and up to ``position``
    of the log; with none, both say where the stream and the log then stood.
    """

    key: str
    command: str
    fingerprint: str
    stream: str
    version: int
    events: int
    position: int
    recorded_at: datetime
    answer: str | None


class CommandRepeated(StoreError):
    """The command was carried out before: here is what it led to."""

    def __init__(self, stored: StoredCommand) -> None:
        super().__init__(f"command {stored.command} was carried out before")
        self.stored = stored


class CommandIdReused(StoreError):
    """The same key used this command id before, for something else."""

    def __init__(self, key: str, command: str) -> None:
        super().__init__(f"command id {command} was used before for a different request")
        self.key = key
        self.command = command


class ConcurrencyGaveUp(StoreError):
    """Others appended to the stream first, as many times as the command was tried."""

    def __init__(self, stream: str, attempts: int) -> None:
        super().__init__(f"{stream} kept moving on during {attempts} attempts")
        self.stream = stream
        self.attempts = attempts


class StoreBusy(StoreError):
    """The database was held up for too long; the same request may succeed in a moment."""


class StoreUnreachable(StoreError):
    """The database does not answer."""


def translate(error: Exception) -> Exception:
    """The store's own error for a driver's, or the same error where the store has none."""
    driver = error.orig if isinstance(error, DBAPIError) else error
    match driver:
        case sqlite3.OperationalError(sqlite_errorcode=int(code)) if code & 0xFF in {
            sqlite3.SQLITE_BUSY,
            sqlite3.SQLITE_LOCKED,
        }:
            return StoreBusy(str(driver))
        case sqlite3.OperationalError(sqlite_errorcode=sqlite3.SQLITE_CANTOPEN):
            return StoreUnreachable(str(driver))
        case psycopg.errors.LockNotAvailable() | psycopg.errors.DeadlockDetected():
            return StoreBusy(str(driver))
        case psycopg.errors.SerializationFailure() | psycopg.errors.QueryCanceled():
            return StoreBusy(str(driver))
        case psycopg.OperationalError():
            return StoreUnreachable(str(driver))
        case _:
            return error


def violated(error: Exception) -> str | None:
    """The name of the unique constraint that was violated, the same on both databases."""
    driver = error.orig if isinstance(error, DBAPIError) else error
    match driver:
        case psycopg.errors.UniqueViolation():
            return driver.diag.constraint_name
        case sqlite3.IntegrityError():
            return str(driver).partition(":")[0]
        case _:
            return None
