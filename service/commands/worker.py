"""``ringfold worker``: the work that is done after a command was answered."""

import signal

import click

from service import journal
from service.commands._database import make_ready, opened
from service.commands._workers import settings_for_workers
from service.config import Settings
from service.desk.desk import Desk
from service.store.engine import Database
from service.workers.broker import QUEUE, add_tasks, make_app
from service.workers.compose import make_first_key, make_works, tick_of
from service.workers.embedded import Embedded
from service.workers.works import Works


@click.command("worker")
@click.option(
    "--processes",
    default=2,
    show_default=True,
    type=click.IntRange(1, 64),
    help="Processes that work side by side, where there is a Redis.",
)
def command(processes: int) -> None:
    """Follow the log, publish official results and send messages, until told to stop.

    Where RINGFOLD_REDIS names a Redis, a Celery worker on it; start as many as you like, and one
    `ringfold beat`. Without a Redis, the same in one process; `ringfold serve` does it itself then.
    """
    settings = settings_for_workers()
    with opened(settings) as database:
        make_ready(database)
    journal.begin()
    if settings.redis is None:
        _here(settings)
    else:
        _behind_redis(settings, settings.redis, processes)


def _works(settings: Settings) -> Works:
    return make_works(settings, Desk(Database(settings.database)))


def _here(settings: Settings) -> None:
    desk = Desk(Database(settings.database))
    make_first_key(settings, desk)
    embedded = Embedded(make_works(settings, desk), tick_of(settings))
    for each in (signal.SIGTERM, signal.SIGINT):
        signal.signal(each, lambda *_: embedded.ask_to_stop())
    embedded.run()


def _behind_redis(settings: Settings, redis: str, processes: int) -> None:
    tick = tick_of(settings)
    app = make_app(redis, tick)
    add_tasks(app, lambda: _works(settings), tick)
    app.worker_main(
        [
            "worker",
            "--pool=prefork",
            f"--concurrency={processes}",
            f"--queues={QUEUE}",
            "--without-gossip",  # workers have nothing to tell one another
            "--without-mingle",
            "--without-heartbeat",
            "--loglevel=INFO",
        ]
    )
