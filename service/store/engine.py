"""Connections: one way to read and one way to write, the same on both databases."""

import contextlib
from collections.abc import Iterator, Mapping
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import URL, Connection, Engine, Select, create_engine, event, make_url
from sqlalchemy.exc import DBAPIError

from events.codec import time_text
from service.store.errors import translate

SQLITE_PRAGMAS = (
    "journal_mode = WAL",
    "synchronous = FULL",  # a mark that was answered for survives a power cut
    "busy_timeout = 10000",
    "foreign_keys = ON",
    "recursive_triggers = ON",  # else INSERT OR REPLACE deletes without asking the triggers
    "trusted_schema = OFF",
    "secure_delete = ON",  # what is forgotten is not to be read in the file's free pages either
)
POSTGRES_OPTIONS = (
    "-c timezone=UTC -c lock_timeout=10s -c statement_timeout=60s"
    " -c idle_in_transaction_session_timeout=60s"
)


class Database:
    """One database and its pool of connections, all of which commit by themselves.

    Reads therefore cost one round trip. What must be written together goes through ``writing``.
    """

    def __init__(self, url: str | URL) -> None:
        self.engine = _engine(normalised(url))
        self.is_sqlite = self.engine.dialect.name == "sqlite"
        self._begin = "BEGIN IMMEDIATE" if self.is_sqlite else "BEGIN"
        self._compiled: dict[Select[Any], tuple[str, dict[str, object]]] = {}

    @contextlib.contextmanager
    def reading(self) -> Iterator[Connection]:
        """A connection on which each statement stands alone."""
        with self._translated(), self.engine.connect() as connection:
            yield connection

    @contextlib.contextmanager
    def writing(self) -> Iterator[Connection]:
        """A connection in a transaction, committed at the end and rolled back by any error."""
        with self.reading() as connection:
            connection.exec_driver_sql(self._begin)
            try:
                yield connection
            except BaseException:
                if not connection.invalidated:
                    connection.exec_driver_sql("ROLLBACK")
                raise
            connection.exec_driver_sql("COMMIT")

    def rows(
        self, connection: Connection, statement: Select[Any] | str, values: Mapping[str, object]
    ) -> list[tuple[Any, ...]]:
        """The rows of one statement as the driver gives them: fast, and with no conversion.

        A ``Select`` is compiled once, so it must live as long as its module.
        """
        if not isinstance(statement, str):
            statement, constants = self._sql(statement)
            values = {**constants, **values}
        driver: Any = connection.connection.driver_connection
        try:
            if self.is_sqlite:
                rows: list[tuple[Any, ...]] = driver.execute(statement, values).fetchall()
            else:
                rows = driver.execute(statement, values, binary=True).fetchall()
        except self.engine.dialect.loaded_dbapi.Error as error:
            if self.engine.dialect.is_disconnect(error, driver, None):
                connection.invalidate(error)
            raise
        return rows

    def bound(self, moment: datetime) -> datetime | str:
        """A time as ``rows`` takes it."""
        return time_text(moment) if self.is_sqlite else moment

    def moment(self, value: datetime | str) -> datetime:
        """A time as ``rows`` gives it, in UTC."""
        found = datetime.fromisoformat(value) if isinstance(value, str) else value
        return found.astimezone(UTC)

    def scrub(self) -> None:
        """Let nothing that was overwritten be read in the files themselves any more.

        SQLite's write-ahead file is emptied, unless somebody is just reading from it. PostgreSQL
        keeps old rows until it vacuums, and in its archives: there it is for the operator.
        """
        if self.is_sqlite:
            with self.reading() as connection:
                connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")

    def close(self) -> None:
        """Close every connection that is not in use."""
        self.engine.dispose()

    def _sql(self, statement: Select[Any]) -> tuple[str, dict[str, object]]:
        known = self._compiled.get(statement)
        if known is None:
            compiled = statement.compile(dialect=self.engine.dialect)
            known = self._compiled[statement] = (str(compiled), dict(compiled.params))
        return known

    @contextlib.contextmanager
    def _translated(self) -> Iterator[None]:
        try:
            yield
        except (DBAPIError, self.engine.dialect.loaded_dbapi.Error) as error:
            translated = translate(error)
            if translated is error:
                raise
            raise translated from error


def normalised(url: str | URL) -> URL:
    """The URL with the driver that Ringfold uses; ``ValueError`` for any other database."""
    parsed = make_url(url)
    backend = parsed.get_backend_name()
    if backend in {"postgres", "postgresql"}:
        return parsed.set(drivername="postgresql+psycopg")
    if backend == "sqlite" and parsed.database not in {None, "", ":memory:"}:
        return parsed.set(drivername="sqlite+pysqlite")
    raise ValueError(f"{parsed!r}: the database must be a SQLite file or PostgreSQL")


def _engine(url: URL) -> Engine:
    if url.get_backend_name() == "sqlite":
        engine = create_engine(url, isolation_level="AUTOCOMMIT", paramstyle="named")
        event.listen(engine, "connect", _set_pragmas)
        return engine
    # What the URL itself sets comes last, so that it wins.
    options = f"{POSTGRES_OPTIONS} {url.query.get('options', '')}"
    connect_args = {"options": options, "connect_timeout": 10}
    return create_engine(
        url, isolation_level="AUTOCOMMIT", connect_args=connect_args, pool_size=16, max_overflow=16
    )


def _set_pragmas(connection: Any, _: object) -> None:  # noqa: ANN401 - as the driver hands it over
    for pragma in SQLITE_PRAGMAS:
        connection.execute(f"PRAGMA {pragma}")
