"""``ringfold serve``: the HTTP interface behind a production WSGI server."""

import click

from service import server
from service.commands._database import make_ready, opened
from service.commands._listening import listening_at
from service.config import read_settings


@click.command("serve")
@click.option("--host", default="127.0.0.1", show_default=True, help="The address to listen at.")
@click.option(
    "--port",
    default=server.PORT,
    show_default=True,
    type=click.IntRange(1, 65535),
    help="The port to listen at.",
)
@click.option(
    "--processes",
    default=1,
    show_default=True,
    type=click.IntRange(1, 64),
    help="One is right for SQLite; PostgreSQL serves as many as there are cores.",
)
@click.option(
    "--wait",
    default=30,
    show_default=True,
    type=click.IntRange(0, 3600),
    help="Seconds that PostgreSQL may take to answer at all.",
)
def command(host: str, port: int, processes: int, wait: int) -> None:
    """Serve the HTTP interface on the database that RINGFOLD_DATABASE names.

    An empty SQLite file gets its tables. A database of an earlier release is never changed on the
    way: `ringfold database upgrade` does that, once there is a copy.
    """
    settings = read_settings()
    address = listening_at(host, port)
    with opened(settings) as database:
        make_ready(database, wait)
    server.serve(
        settings,
        address,
        processes=processes,
        when_ready=lambda: click.echo(f"Ringfold serves {address.url}/v1", err=True),
    )
