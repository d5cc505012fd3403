"""The demo's show as its files say it, and nothing that they do not say."""

from collections.abc import Mapping
from datetime import datetime, time
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from zoneinfo import ZoneInfo

import msgspec

from events.judged_class.events import ClassRound
from events.rulebook.load import load_toml
from events.rulebook.model import OutcomeKind, PanelChoice, RuleBook
from events.show.commands import PlanShow
from events.show.events import OfficialRole
from service.books import shipped_book
from service.demo.happenings import Happening
from service.store.keys import KeyRole

FOLDER = "quillmere"
SHOW = "show.toml"
PAIRS = "pairs.toml"
WRITTEN = "written"
BOOKS = "books"


class _Part(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A table of a file."""


class Official(_Part, frozen=True, kw_only=True):
    """Somebody with a task at the show."""

    id: str
    name: str
    role: OfficialRole


class Pair(_Part, frozen=True, kw_only=True):
    """A rider and a horse, by name; of a second horse, whose ``rider_of`` is that back number."""

    horse: str
    rider: str | None = None
    rider_of: int | None = None


class Division(_Part, frozen=True, kw_only=True):
    """A division that the show defines: for riders who hold its level, or for all (``None``)."""

    level: str | None = None


class Hand(_Part, frozen=True, kw_only=True):
    """A key that somebody works with, ``bound`` to the show or good for all."""

    role: KeyRole
    label: str
    device: str | None = None
    seat: str | None = None
    bound: bool = False


class Penalty(_Part, frozen=True, kw_only=True):
    """A penalty on a card; ``withdrawn`` if the judge took it back at once.

    ``points`` are those that the judge chose, where the rule book leaves it to the judge.
    """

    maneuver: int
    code: str
    count: int = 1
    withdrawn: bool = False
    points: float | None = None


class Outcome(_Part, frozen=True, kw_only=True):
    """What a ride was called instead of a normal score; ``lifted`` if it was taken back at once."""

    kind: OutcomeKind
    reason: str
    maneuver: int | None = None
    lifted: bool = False


class Observed(_Part, frozen=True, kw_only=True):
    """A fault that was noted."""

    maneuver: int
    code: str


class Ride(_Part, frozen=True, kw_only=True):
    """A ride on one card, in points; ``excused`` says why it ended after its last mark.

    With ``again``, which says why, the first half was marked once before. What was written first
    ``for_another`` back number was taken back at once.
    """

    marks: tuple[float, ...]
    rider_mark: float | None = None
    penalties: tuple[Penalty, ...] = ()
    outcome: Outcome | None = None
    observed: tuple[Observed, ...] = ()
    excused: str | None = None
    again: str | None = None
    for_another: int | None = None


class Timing(_Part, frozen=True, kw_only=True):
    """What a clock has of a ride; ``outcome`` where it has no time.

    A time that was written first ``for_another`` back number was taken back at once.
    """

    milliseconds: int
    penalty_milliseconds: int = 0
    outcome: Outcome | None = None
    for_another: int | None = None


class ClassStory(_Part, frozen=True, kw_only=True):
    """A class: who is in it, what stands on each card by back number, and what happens then.

    Where the judge writes ``on_paper``, the office enters the card after the last ride. Learners
    keep cards on seats of their own. The entries of a later ``round`` are those that the cut of the
    one before sent on. ``apart`` is how many others go between a rider's two horses; a
    class of more than ``split_above`` is ridden in sections.
    """

    id: str
    name: str
    rulebook: str
    ring: str
    begins: datetime
    seconds_a_ride: int
    seed: str
    judges: Mapping[str, str]
    entries: tuple[int, ...] = ()
    maneuvers: tuple[str, ...] = ()
    cards: Mapping[str, Mapping[int, Ride]] = {}
    times: Mapping[str, Mapping[int, Timing]] = {}
    then: tuple[Happening, ...] = ()
    number: int = 0
    learners: Mapping[str, str] = {}
    admits: tuple[str, ...] = ()
    divisions: Mapping[int, str] = {}
    panel: PanelChoice | None = None
    round: ClassRound | None = None
    apart: int = 0
    split_above: int | None = None
    on_paper: bool = False
    told_in_full: bool = False

    @property
    def seats(self) -> Mapping[str, str]:
        """Who sits on every seat, learners too."""
        return {**self.judges, **self.learners}

    @property
    def gate_calls(self) -> frozenset[int]:
        """Who comes to the gate: whoever stands on a card."""
        return frozenset(n for card in (*self.cards.values(), *self.times.values()) for n in card)


class ShowStory(_Part, frozen=True, kw_only=True):
    """The show: its plan, its people and horses, its keys; ``set_up`` is when the office begins.

    The registry knows every rider's level but that of the one with the back number
    ``unknown_level``, whose papers the office has seen.
    """

    id: str
    rings: tuple[str, ...]
    set_up: datetime
    plan: PlanShow
    officials: tuple[Official, ...]
    others: Mapping[str, str]
    divisions: Mapping[str, Division]
    unknown_level: int
    pairs: Mapping[int, Pair]
    keys: Mapping[str, Hand]

    def moment(self, day: datetime, at: time | None = None) -> datetime:
        """A time of the show's clock, on that day at its own time or at another."""
        local = day if at is None else datetime.combine(day, at)
        return local.replace(tzinfo=ZoneInfo(self.plan.time_zone))

    def rider(self, number: int) -> str:
        """The id of the rider who carries a back number."""
        return rider_id(self.pairs[number].rider_of or number)

    def level(self, number: int) -> str:
        """The division for the level that the rider with a back number holds."""
        levels = sorted(name for name, each in self.divisions.items() if each.level)
        return levels[(self.pairs[number].rider_of or number) % len(levels)]


def the_show() -> ShowStory:
    """The show."""
    show = msgspec.toml.decode(read(SHOW), type=ShowStory)
    further = msgspec.toml.decode(read(PAIRS), type=dict[int, Pair])
    return msgspec.structs.replace(show, pairs={**show.pairs, **further})


@cache
def written_out() -> tuple[ClassStory, ...]:
    """The classes that are written out, in the order in which they are held."""
    found = (msgspec.toml.decode(text, type=ClassStory) for text in _texts(WRITTEN))
    return tuple(sorted(found, key=lambda story: story.begins))


@cache
def book_named(name: str) -> RuleBook:
    """The rule book of that name: one of the show's own, or one that ships."""
    own = _folder().joinpath(BOOKS, f"{name}.toml")
    return load_toml(own.read_text("utf-8")) if own.is_file() else shipped_book(name)


def read(name: str) -> bytes:
    """What one of the show's files holds."""
    return _folder().joinpath(name).read_bytes()


def _texts(folder: str) -> tuple[bytes, ...]:
    found = {entry.name: entry for entry in _folder().joinpath(folder).iterdir()}
    return tuple(found[name].read_bytes() for name in sorted(found) if name.endswith(".toml"))


def _folder() -> Traversable:
    return files("service.demo").joinpath(FOLDER)


def rider_id(back_number: int) -> str:
    """The id of the rider who was given a back number first."""
    return f"p-{back_number}"


def horse_id(back_number: int) -> str:
    """The id of the horse that carries a back number."""
    return f"h-{back_number}"


def entry_id(back_number: int) -> str:
    """The id of the entry with a back number in any class."""
    return f"e-{back_number}"
