"""``ringfold demo``: an invented show, played, told and served."""

import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

import click

from service import server
from service.commands._database import opened
from service.commands._listening import listening_at
from service.config import Settings
from service.demo.awards import define_awards, the_awards
from service.demo.folder import DemoFolder, NotOurs
from service.demo.player import Player
from service.demo.programme import Planned, the_classes, the_programme
from service.demo.scenario import ShowStory, the_show, written_out
from service.demo.signpost import signpost, signs
from service.demo.summary import summary
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
@click.option("--short", is_flag=True, help="Play only its seven classes that are written out.")
def command(folder: Path, port: int, *, no_serve: bool, fresh: bool, short: bool) -> None:
    """Play an invented five-day show, tell the dispute in it, and serve it to look around in.

    It needs nothing besides Ringfold: the show lies in a SQLite file in a folder of its own. A
    folder that holds anything else is left alone.
    """
    address = server.Address(port=port) if no_serve else listening_at("127.0.0.1", port)
    show = the_show()
    try:
        place = DemoFolder(folder)
        if fresh or not place.keys:
            _play(place, show, short=short)
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


def _play(place: DemoFolder, show: ShowStory, *, short: bool) -> None:
    place.clear()
    programme = the_programme()
    classes = [each for each in the_classes(show, programme) if not (short and each.kind)]
    for line in opening(show, classes):
        _say(line)
    with opened(Settings(database=place.url)) as database:
        migrate.upgrade(database)
        desk = Desk(database)
        player = Player(desk, show, programme)
        keys = player.open_show()
        define_awards(player, the_awards())
        player.enter_classes(_waited_for(classes, "Entering the classes"))
        told: list[str] = []
        for planned in _waited_for(classes, "Holding the classes"):
            turned_away = player.hold(planned)
            if planned.story.told_in_full:
                office = player.caller("office")
                told += tell(desk, office, show, planned.story, turned_away)
        for line in (*summary(desk, classes), *told):
            _say(line)
    place.finish(keys)


def _waited_for(classes: Sequence[Planned], what: str) -> Iterator[Planned]:
    """The classes one by one; whoever sits at a screen sees how far it has come."""
    if not sys.stderr.isatty():
        yield from classes
        return
    with click.progressbar(classes, label=what, file=sys.stderr) as bar:
        yield from bar


def _point(place: DemoFolder, show: ShowStory, address: server.Address) -> None:
    [story] = [each for each in written_out() if each.told_in_full]
    with opened(Settings(database=place.url)) as database:
        if standing(database) != "ready":
            raise click.ClickException(
                f"{place.database} was made by another release; --fresh plays the show anew."
            )
        to = signs(Desk(database), show, story)
    click.echo(f"The show lies in {place.database}, and all of its keys in {place.note}.\n")
    for line in signpost(address.url, show, place.keys, to):
        click.echo(line)


def _say(line: str) -> None:
    """Print a line; letters that the output has no room for become question marks."""
    encoding = sys.stdout.encoding
    click.echo(line.encode(encoding, "replace").decode(encoding))


def _said(address: server.Address) -> None:
    click.echo(f"\nServing {address.url}/v1 until you press Ctrl-C.")
