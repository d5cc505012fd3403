"""``ringfold database``: a database made, brought up to date, and looked over."""

import click

from service.commands._database import SAYS, awaited, must_exist, named, opened
from service.config import Settings, read_settings
from service.store import migrate
from service.store.engine import Database
from service.store.grants import grant
from service.store.log import Log
from service.store.verify import verify

WAIT_SECONDS = 30
_wait = click.option(
    "--wait",
    default=WAIT_SECONDS,
    show_default=True,
    type=click.IntRange(0, 3600),
    help="Seconds that a database may take to answer at all.",
)


@click.group("database")
def command() -> None:
    """Make the database, bring it up to date, or look it over.

    It is the one that RINGFOLD_DATABASE names; without it, the SQLite file ringfold.db here.
    """


@command.command("create")
@_wait
def create(wait: int) -> None:
    """Make the tables in an empty database; one with anything in it is left alone."""
    settings = read_settings()
    with opened(settings) as database:
        found = awaited(database, wait)
        if found != "empty":
            raise click.ClickException(f"{named(database)} {SAYS[found]}. Nothing was done.")
        _bring_up(database, settings)
        click.echo(f"{named(database)} has its tables now (revision {migrate.newest()}).")


@command.command("upgrade")
@_wait
def upgrade(wait: int) -> None:
    """Bring the database to this release; an empty one gets its tables.

    All of it happens or nothing. There is no way back: keep a copy of a database that matters.
    """
    settings = read_settings()
    with opened(settings) as database:
        found = awaited(database, wait)
        if found in {"ahead", "foreign", "unguarded"}:
            raise click.ClickException(f"{named(database)} {SAYS[found]}. Nothing was done.")
        before = migrate.current(database)
        _bring_up(database, settings)
        after = migrate.current(database)
        if before == after:
            said = f"was at this release already (revision {after})"
        else:
            said = f"went from {before or 'empty'} to revision {after}"
        click.echo(f"{named(database)} {said}.")


@command.command("check")
@_wait
def check(wait: int) -> None:
    """Look the database over: its tables, the guards of its log, and every event in it.

    Nothing is changed. What does not hold goes to standard error, and the exit status is 1.
    """
    with opened(read_settings()) as database:
        must_exist(database)
        found = awaited(database, wait)
        missing = migrate.missing_guards(database) if found == "unguarded" else frozenset()
        if found not in {"ready", "unguarded"}:
            raise click.ClickException(f"{named(database)} {SAYS[found]}.")
        report = verify(Log(database))
        faults = [f"the guard {name} is missing" for name in sorted(missing)]
        faults += [f"tables differ: {difference}" for difference in migrate.drift(database)]
        faults += [
            f"{finding.kind.replace('_', ' ')}"
            f"{'' if finding.position is None else f' at position {finding.position}'}"
            f": {finding.detail}"
            for finding in report.findings
        ]
        click.echo(f"{named(database)}: {report.events} events in {report.streams} streams read.")
        for fault in faults:
            click.echo(f"  {fault}", err=True)
        if faults:
            raise click.ClickException(f"{len(faults)} things do not hold.")
        click.echo("Tables, guards and every event hold.")


def _bring_up(database: Database, settings: Settings) -> None:
    migrate.upgrade(database)
    if settings.database_role is not None:
        grant(database, settings.database_role)
        click.echo(f"The role {settings.database_role} may serve from it.")
