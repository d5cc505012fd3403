"""``ringfold demo``: an invented show, played, told and served."""

import sys
from pathlib import Path

import click

from service import server
from service.commands._database import opened
from service.commands._listening import listening_at
from service.config import Settings
from service.demo.folder import DemoFolder, NotOurs, in_haste
from service.demo.player import Player
from service.demo.scenario import ShowStory, the_classes, the_show
from service.demo.signpost import signpost, signs
from service.demo.telling import opening, tell
from service.desk.desk import Desk
from service.store import migrate
from service.store.readiness import standing


@click.command("demo")
@click.option(
    "--folder",
    default="ringfold-demo",
    show_default=True,
    type=click.Path(path_type=Path),
    help="Where the demo keeps its database.",
)
@click.option(
    "--port",
    default=server.PORT,
    show_default=True,
    type=click.IntRange(1, 65535),
    help="The port to serve at, on this machine only.",
)
@click.option("--no-serve", is_flag=True, help="Play and tell the show, and end there.")
@click.option("--fresh", is_flag=True, help="Throw away the show that lies there, and play anew.")
def command(folder: Path, port: int, *, no_serve: bool, fresh: bool) -> None:
    """Play an invented three-day show, tell it, and serve it to look around in.

    It needs nothing besides Ringfold: the show lies in a SQLite file in a folder of its own. A
    folder that holds anything else is left alone.
    """
    address = server.Address(port=port) if no_serve else listening_at("127.0.0.1", port)
    show = the_show()
    try:
        place = DemoFolder(folder)
        if fresh or not place.keys:
            _play(place, show)
        else:
            click.echo(f"{show.plan.name} lies in {folder} already; --fresh plays it anew.\n")
    except NotOurs as not_ours:
        raise click.ClickException(f"{not_ours} Choose another with --folder.") from not_ours
    except OSError as error:
        raise click.ClickException(f"{error.filename}: {error.strerror}.") from error
    if no_serve:
        click.echo(f"`ringfold demo --folder {folder}` serves it, and says where to look.")
        return
    _point(place, show, address)
    settings = Settings(database=place.url)
    server.serve(settings, address, when_ready=lambda: _said(address))


def _play(place: DemoFolder, show: ShowStory) -> None:
    place.clear()
    for line in opening(show):
        _say(line)
    with opened(Settings(database=place.url)) as database:
        in_haste(database)
        migrate.upgrade(database)
        desk = Desk(database)
        player, classes = Player(desk, show), the_classes()
        keys = player.open_show()
        player.enter_classes(classes)
        for story in classes:
            turned_away = player.hold(story)
            for line in tell(desk, player.caller("office"), show, story, turned_away):
                _say(line)
    place.finish(keys)


def _point(place: DemoFolder, show: ShowStory, address: server.Address) -> None:
    [story] = [each for each in the_classes() if each.told_in_full]
    with opened(Settings(database=place.url)) as database:
        if standing(database) != "ready":
            raise click.ClickException(
                f"{place.database} was made by another release; --fresh plays the show anew."
            )
        to = signs(Desk(database), show, story)
    click.echo(f"The show lies in {place.database}, and its keys in {place.note}.\n")
    for line in signpost(address.url, show, place.keys, to):
        click.echo(line)


def _say(line: str) -> None:
    """Print a line; letters that the output has no room for become question marks."""
    encoding = sys.stdout.encoding
    click.echo(line.encode(encoding, "replace").decode(encoding))


def _said(address: server.Address) -> None:
    click.echo(f"\nServing {address.url}/v1 until you press Ctrl-C.")
