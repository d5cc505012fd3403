"""What commands say of a database, and how they open one."""

import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

import click
from sqlalchemy.exc import ArgumentError, DBAPIError

from service.config import Settings
from service.store import migrate
from service.store.engine import Database
from service.store.errors import StoreError, StoreUnreachable
from service.store.readiness import Standing, standing

SAYS: Mapping[Standing, str] = {
    "empty": "is empty: `ringfold database create` makes its tables",
    "ready": "has the tables of this release",
    "behind": "was made by an earlier release: keep a copy, then run `ringfold database upgrade`",
    "ahead": "was made by a later release, which alone may write to it: install that one",
    "unguarded": "has lost guards of its log: `ringfold database check` names them",
    "foreign": "holds tables that are not Ringfold's: name another database",
}
PAUSE_SECONDS = 0.5


@contextmanager
def opened(settings: Settings) -> Iterator[Database]:
    """The database of these settings; what goes wrong is said in one line, and nothing is done."""
    try:
        database = Database(settings.database)
    except (ValueError, ArgumentError) as error:
        raise click.ClickException(f"RINGFOLD_DATABASE: {error}") from error
    try:
        yield database
    except StoreError as error:
        raise click.ClickException(f"{named(database)}: {_in_a_line(error)}") from error
    except DBAPIError as error:
        raise click.ClickException(f"{named(database)}: {_in_a_line(error.orig)}") from error
    finally:
        database.close()


def named(database: Database) -> str:
    """The database as messages name it: the file, or the address without its password."""
    url = database.engine.url
    return str(url.database) if database.is_sqlite else url.render_as_string(hide_password=True)


def must_exist(database: Database) -> None:
    """Refuse a SQLite file that is not there, which looking at it would make."""
    if database.is_sqlite and not Path(named(database)).exists():
        raise click.ClickException(f"{named(database)} does not exist.")


def awaited(database: Database, seconds: float) -> Standing:
    """How a database stands, which may take so long to answer at all."""
    latest = time.monotonic() + seconds
    said = False
    while True:
        try:
            return standing(database)
        except StoreUnreachable:
            if database.is_sqlite or time.monotonic() > latest:
                raise
            if not said:
                click.echo(f"Waiting for {named(database)} to answer ...", err=True)
                said = True
            time.sleep(PAUSE_SECONDS)


def make_ready(database: Database, seconds: float = 0) -> None:
    """Let a database serve: an empty SQLite file gets its tables, any other is left as it is.

    One that is not ready is refused, with what to do about it.
    """
    found = awaited(database, seconds)
    if found == "empty" and database.is_sqlite:
        migrate.upgrade(database)
        click.echo(f"{named(database)} was empty, and has its tables now.", err=True)
        return
    if found != "ready":
        raise click.ClickException(f"{named(database)} {SAYS[found]}.")


def _in_a_line(error: BaseException | None) -> str:
    return " ".join(str(error).split())
