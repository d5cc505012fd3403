"""``ringfold beat``: what wakes the workers at intervals, where there is a Redis."""

import click

from service.commands._workers import settings_for_workers
from service.workers.broker import make_app
from service.workers.compose import tick_of


@click.command("beat")
def command() -> None:
    """Wake the workers behind RINGFOLD_REDIS at intervals, until told to stop.

    One is enough. A second one does no harm, and while there is none, work is still done when
    something is appended; but what failed is not tried again.
    """
    settings = settings_for_workers()
    if settings.redis is None:
        raise click.ClickException("RINGFOLD_REDIS names no Redis, so there is nobody to wake.")
    app = make_app(settings.redis, tick_of(settings))
    # In memory: what comes round is asked for anew after a restart, and nothing has to be written.
    app.start(["beat", "--scheduler=celery.beat:Scheduler", "--pidfile=", "--loglevel=INFO"])
