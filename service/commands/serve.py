"""``ringfold serve``: the HTTP interface behind a production WSGI server."""

from typing import Any

import click
from gunicorn.app.base import BaseApplication

from service.app import create_app
from service.config import Settings, read_settings
from service.http.install import Application
from service.store import migrate
from service.store.engine import Database
from service.store.errors import StoreError

THREADS = 8
SECONDS_TO_FINISH = 30


class _Server(BaseApplication):  # type: ignore[misc]  # gunicorn is untyped
    """gunicorn, told everything here and nothing by files or arguments of its own."""

    def __init__(self, settings: Settings, options: dict[str, Any]) -> None:
        self.settings = settings
        self.options = options
        super().__init__()

    def load_config(self) -> None:
        """What the command was told."""
        for name, value in self.options.items():
            self.cfg.set(name, value)

    def load(self) -> Application:
        """The application; every worker process has its own."""
        return create_app(self.settings)


@click.command("serve")
@click.option("--host", default="127.0.0.1", show_default=True, help="The address to listen at.")
@click.option("--port", default=8750, show_default=True, type=click.IntRange(1, 65535))
@click.option(
    "--processes",
    default=1,
    show_default=True,
    type=click.IntRange(1, 64),
    help="Worker processes. One is right for SQLite; PostgreSQL serves as many as there are cores.",
)
def command(host: str, port: int, processes: int) -> None:
    """Serve the HTTP interface on the database that RINGFOLD_DATABASE names.

    A SQLite file is made and brought up to date on the way; PostgreSQL must have been before.
    """
    settings = read_settings()
    _prepare(settings)
    click.echo(f"Ringfold on http://{host}:{port}/v1", err=True)
    _Server(
        settings,
        {
            "bind": f"{host}:{port}",
            "workers": processes,
            "worker_class": "gthread",
            "threads": THREADS,
            "graceful_timeout": SECONDS_TO_FINISH,
            "control_socket_disable": True,
            "proc_name": "ringfold",
        },
    ).run()


def _prepare(settings: Settings) -> None:
    database = Database(settings.database)
    try:
        if database.is_sqlite:
            migrate.upgrade(database)
        elif not migrate.is_ready(database):
            raise click.ClickException(
                "The database has not been brought up to date: run `ringfold upgrade` first."
            )
    except StoreError as error:
        raise click.ClickException(str(error)) from error
    finally:
        database.close()
