"""``ringfold jobs``: what the workers have to do, what failed, and doing it by hand."""

from collections.abc import Callable
from datetime import timedelta
from typing import TypeVar

import click
import msgspec

from service.commands._database import make_ready, opened
from service.commands._workers import settings_for_workers
from service.desk.desk import Desk
from service.store import outbox
from service.store.followers import UnknownFollower
from service.store.outbox import Failed
from service.store.watch import Lag, watch
from service.trust.errors import TrustError
from service.workers.compose import make_first_key, make_works
from service.workers.follow import NewerRelease, Stuck
from service.workers.works import Works

Answer = TypeVar("Answer")


@click.group("jobs")
def command() -> None:
    """See what the workers have to do and what failed, and do it by hand.

    The database is the one that RINGFOLD_DATABASE names.
    """


@command.command("lag")
@click.option("--json", "wants_json", is_flag=True, help="Print one JSON object.")
def lag(*, wants_json: bool) -> None:
    """Show how far behind the workers are. Exits with 1 while something is stuck or given up."""
    found = _with_works(lambda works: watch(works.desk.log, now=works.clock()))
    if wants_json:
        click.echo(msgspec.json.encode(found).decode())
    else:
        box = found.outbox
        click.echo(
            f"to send    {box.due} due (the oldest for {box.oldest_due:.0f} s), {box.later} later, "
            f"{box.held} held back, {box.dead} given up"
        )
        for each in found.followers:
            click.echo(_lag_line(each))
    if found.stuck or found.outbox.dead:
        click.get_current_context().exit(1)


@command.command("failed")
@click.option("--json", "wants_json", is_flag=True, help="Print one JSON object a line.")
def failed(*, wants_json: bool) -> None:
    """List what was given up, the latest first."""
    for each in _with_works(lambda works: outbox.failed(works.database)):
        click.echo(msgspec.json.encode(each).decode() if wants_json else _failed_line(each))


@command.command("again")
@click.argument("job_id")
def again(job_id: str) -> None:
    """Let a job that was given up be tried from the beginning."""
    if not _with_works(lambda works: outbox.run_again(works.database, job_id, now=works.clock())):
        raise click.ClickException(f"{job_id} was not given up: see `ringfold jobs failed`.")
    click.echo(f"{job_id} will be tried again.")


@command.command("once")
def once() -> None:
    """Do all that there is to do now, in this process."""

    def do_all(works: Works) -> int:
        for name in works.followers:
            works.follow(name)
        works.checkpoint()
        done = 0
        while offered := works.offer(again_after=timedelta(0)):
            done += sum(map(works.do, offered))
        works.clean_up()
        return done

    click.echo(f"The log is followed to its end; {_with_works(do_all)} jobs done.")


@command.command("rebuild")
@click.argument("name")
def rebuild(name: str) -> None:
    """Make a follower's rows anew from the beginning of the log, such as its standings.

    What was published stays as it is, and is held against the log.
    """

    def anew(works: Works) -> None:
        works.rebuild(name)
        works.follow(name)

    _with_works(anew)
    click.echo(f"{name} is made anew.")


def _with_works(ask: Callable[[Works], Answer]) -> Answer:
    settings = settings_for_workers()
    with opened(settings) as database:
        make_ready(database)
        desk = Desk(database)
        works = make_works(settings, desk)
        try:
            make_first_key(settings, desk)
            works.register()
            return ask(works)
        except (Stuck, NewerRelease, UnknownFollower) as error:
            raise click.ClickException(str(error)) from error
        except TrustError as error:
            raise click.ClickException(error.message) from error


def _lag_line(of: Lag) -> str:
    behind = f"{of.events} events behind, for {of.seconds:.0f} s" if of.events else "up to date"
    stuck = f"; stuck at event {of.error_position}: {of.error}" if of.error else ""
    return f"{of.name:<12} at {of.position}, {behind}{stuck}"


def _failed_line(of: Failed) -> str:
    return f"{of.id}  {of.key}  given up {of.dead_at:%Y-%m-%d %H:%M}Z after {of.attempts}: " + (
        of.last_error or ""
    )
