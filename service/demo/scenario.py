"""The demo's show as its files say it, and nothing that they do not say."""

from collections.abc import Mapping
from datetime import datetime, time
from importlib.resources import files
from zoneinfo import ZoneInfo

import msgspec

from events.rulebook.model import OutcomeKind
from events.show.commands import PlanShow
from events.show.events import OfficialRole
from service.demo.happenings import Happening
from service.store.keys import KeyRole

FOLDER = "quillmere"
SHOW = "show.toml"


class _Part(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A table of a file."""


class Official(_Part, frozen=True, kw_only=True):
    """Somebody with a task at the show."""

    id: str
    name: str
    role: OfficialRole


class Pair(_Part, frozen=True, kw_only=True):
    """A rider and a horse, by name."""

    rider: str
    horse: str


class Hand(_Part, frozen=True, kw_only=True):
    """A key that somebody works with, ``bound`` to the show or good for all."""

    role: KeyRole
    label: str
    device: str | None = None
    seat: str | None = None
    bound: bool = False


class Penalty(_Part, frozen=True, kw_only=True):
    """A penalty on a card; ``withdrawn`` if the judge took it back at once."""

    maneuver: int
    code: str
    count: int = 1
    withdrawn: bool = False


class Outcome(_Part, frozen=True, kw_only=True):
    """What a ride was called instead of a normal score."""

    kind: OutcomeKind
    reason: str
    maneuver: int | None = None


class Observed(_Part, frozen=True, kw_only=True):
    """A fault that was noted."""

    maneuver: int
    code: str


class Ride(_Part, frozen=True, kw_only=True):
    """A ride on one card, in points; ``excused`` says why it ended after its last mark."""

    marks: tuple[float, ...]
    rider_mark: float | None = None
    penalties: tuple[Penalty, ...] = ()
    outcome: Outcome | None = None
    observed: tuple[Observed, ...] = ()
    excused: str | None = None


class ClassStory(_Part, frozen=True, kw_only=True):
    """A class: who is in it, what stands on each card by back number, and what happens then.

    Where the judge writes ``on_paper``, the office enters the card after the last ride.
    """

    id: str
    number: int
    name: str
    rulebook: str
    ring: str
    begins: datetime
    seconds_a_ride: int
    seed: str
    judges: Mapping[str, str]
    entries: tuple[int, ...]
    maneuvers: tuple[str, ...]
    cards: Mapping[str, Mapping[int, Ride]]
    then: tuple[Happening, ...]
    on_paper: bool = False
    told_in_full: bool = False


class ShowStory(_Part, frozen=True, kw_only=True):
    """The show: its plan, its people and horses, its keys; ``set_up`` is when the office begins."""

    id: str
    rings: tuple[str, ...]
    set_up: datetime
    plan: PlanShow
    officials: tuple[Official, ...]
    others: Mapping[str, str]
    pairs: Mapping[int, Pair]
    keys: Mapping[str, Hand]

    def moment(self, day: datetime, at: time | None = None) -> datetime:
        """A time of the show's clock, on that day at its own time or at another."""
        local = day if at is None else datetime.combine(day, at)
        return local.replace(tzinfo=ZoneInfo(self.plan.time_zone))


def the_show() -> ShowStory:
    """The show."""
    content = files("service.demo").joinpath(FOLDER, SHOW).read_bytes()
    return msgspec.toml.decode(content, type=ShowStory)


def the_classes() -> tuple[ClassStory, ...]:
    """Its classes, in the order in which they are held."""
    found = files("service.demo").joinpath(FOLDER).iterdir()
    names = {entry.name: entry for entry in found if entry.name != SHOW}
    contents = [names[name].read_bytes() for name in sorted(names) if name.endswith(".toml")]
    return tuple(msgspec.toml.decode(content, type=ClassStory) for content in contents)


def rider_id(back_number: int) -> str:
    """The id of the rider who carries a back number."""
    return f"p-{back_number}"


def horse_id(back_number: int) -> str:
    """The id of the horse that carries a back number."""
    return f"h-{back_number}"


def entry_id(back_number: int) -> str:
    """The id of the entry with a back number in any class."""
    return f"e-{back_number}"
