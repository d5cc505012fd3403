"""The demo, played once for all of its tests."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import UTC, datetime
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
from service.demo.scenario import ClassStory, ShowStory, the_classes, the_show
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

    began: datetime
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
def played(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Played]:
    folder = tmp_path_factory.mktemp("demo") / "show"
    began = datetime.now(UTC)
    printed = run(folder)
    place = DemoFolder(folder)
    database = Database(place.url)
    desk = Desk(database)
    yield Played(began, printed, place, the_show(), desk, _held(desk))
    database.close()


@pytest.fixture(scope="session")
def horsemanship(played: Played) -> Held:
    """The class that is told in full."""
    return played.classes["horsemanship"]


def _held(desk: Desk) -> dict[str, Held]:
    found = {}
    for story in the_classes():
        stream = stream_of("class", story.id)
        scheduled = desk.classes.latest(stream).state.scheduled
        assert scheduled is not None
        book = desk.books.held_to(scheduled.rulebook)
        found[story.id] = Held(story, book, History(desk.log.read(stream)))
    return found
