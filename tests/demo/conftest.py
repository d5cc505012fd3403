"""The demo: its written-out classes, played once for most of its tests, and once all of it."""

import fcntl
import os
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

import msgspec
import pytest
from click.testing import CliRunner

from events.envelope import Event, RecordedEvent, stream_of
from events.judged_class.events import CardSigned
from events.projections.history import History
from events.projections.placing import ClassPlacing, placing
from events.rulebook.model import RuleBook
from service.commands.demo import command
from service.demo.folder import DemoFolder
from service.demo.programme import Planned, the_classes, the_programme
from service.demo.scenario import ClassStory, ShowStory, book_named, the_show
from service.desk.desk import Desk
from service.store.engine import Database


class Held(msgspec.Struct, frozen=True):
    """A class of the demo: what its file says, and what was recorded of it."""

    story: ClassStory
    book: RuleBook
    history: History

    @property
    def events(self) -> Sequence[RecordedEvent]:
        return self.history.events

    @property
    def placing(self) -> ClassPlacing:
        return self.at(self.history.version)

    @property
    def signed(self) -> int:
        """The version at which its last card was signed."""
        return max(each.version for each in self.events if isinstance(each.data, CardSigned))

    def at(self, version: int) -> ClassPlacing:
        return placing(self.history.at_version(version), self.book)

    def of(self, *kinds: type[Event]) -> list[RecordedEvent]:
        return [each for each in self.events if isinstance(each.data, kinds)]


class Played(msgspec.Struct, frozen=True):
    """The demo after it was played: what it printed, and what it left."""

    printed: str
    place: DemoFolder
    show: ShowStory
    desk: Desk
    classes: Mapping[str, Held]


def run(folder: Path, *options: str) -> str:
    """What the command prints when it does not serve."""
    done = CliRunner().invoke(command, ["--folder", str(folder), "--no-serve", *options])
    assert done.exit_code == 0, done.output
    return done.output


@pytest.fixture(scope="session")
def programme() -> tuple[Planned, ...]:
    """Every class of the show as it is planned."""
    return the_classes(the_show(), the_programme())


@pytest.fixture(scope="session")
def played(
    tmp_path_factory: pytest.TempPathFactory, programme: tuple[Planned, ...]
) -> Iterator[Played]:
    """The demo with its seven written-out classes alone."""
    written = tuple(each for each in programme if each.kind is None)
    folder = tmp_path_factory.mktemp("demo") / "show"
    yield from _played(folder, run(folder, "--short"), written)


@pytest.fixture(scope="session")
def whole(
    tmp_path_factory: pytest.TempPathFactory, programme: tuple[Planned, ...]
) -> Iterator[Played]:
    """The demo with all of its classes, which is played once although several processes test."""
    folder = tmp_path_factory.getbasetemp()
    if "PYTEST_XDIST_WORKER" in os.environ:
        folder = folder.parent
    told = folder / "whole.txt"
    with (folder / "whole.lock").open("w") as turn:
        fcntl.flock(turn, fcntl.LOCK_EX)
        if not told.exists():
            told.write_text(run(folder / "whole"), encoding="utf-8")
    yield from _played(folder / "whole", told.read_text("utf-8"), programme)


def _played(folder: Path, printed: str, classes: Sequence[Planned]) -> Iterator[Played]:
    place = DemoFolder(folder)
    database = Database(place.url)
    desk = Desk(database)
    yield Played(printed, place, the_show(), desk, _held(desk, classes))
    database.close()


@pytest.fixture(scope="session")
def horsemanship(played: Played) -> Held:
    """The class that is told in full."""
    return played.classes["horsemanship"]


def _held(desk: Desk, classes: Sequence[Planned]) -> dict[str, Held]:
    found = {}
    for planned in classes:
        story = planned.story
        history = History(desk.log.read(stream_of("class", story.id)))
        found[story.id] = Held(story, book_named(story.rulebook), history)
    return found
