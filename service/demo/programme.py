"""The programme of all five days: which classes are held, where, when, and who is entered."""

import random
from collections import Counter
from collections.abc import Iterator, Mapping
from datetime import date, datetime, time, timedelta
from itertools import count

import msgspec

from events.judged_class.events import ClassRound, RoundKind
from events.rulebook.model import PanelChoice
from service.demo.happenings import EnterLate
from service.demo.incidents import Says
from service.demo.scenario import ClassStory, ShowStory, read, written_out

PROGRAMME = "programme.toml"
_HUNDRED = 100


class _Part(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A table of the file."""


class Kind(_Part, frozen=True, kw_only=True):
    """A kind of class.

    ``tied`` is the place down to which the best rides are marked equal, and ``first_incident``
    what happens in its first class. A ``purse``, in cents, is paid out by ``percentages``.
    """

    name: str
    rulebook: str
    levels: tuple[str, ...]
    patterns: str | None = None
    maneuvers: tuple[tuple[str, ...], ...] = ()
    entries: tuple[int, int] = (6, 8)
    seats: int = 1
    learners: int = 0
    panel: PanelChoice | None = None
    divisions: tuple[str, ...] = ()
    seconds_a_ride: int = 210
    middle: float = 0
    spread: float = 0.5
    on_paper: bool = False
    round: RoundKind | None = None
    after: str | None = None
    carries: bool = False
    cut: int | None = None
    cut_with_ties: bool = True
    tied: int | None = None
    run_off: tuple[str, ...] = ()
    apart: int = 0
    split_above: int | None = None
    first_incident: str | None = None
    purse: int | None = None
    percentages: tuple[str, ...] = ()


class Day(_Part, frozen=True, kw_only=True):
    """The kinds that are held on a day in each ring, one after the other."""

    day: date
    rings: Mapping[str, tuple[str, ...]]


class Programme(_Part, frozen=True, kw_only=True):
    """The file."""

    seed: int
    opens: time
    minutes_a_class: int
    written_minutes: int
    panels: Mapping[str, Mapping[str, str]]
    learners: Mapping[str, str]
    days: tuple[Day, ...]
    kinds: Mapping[str, Kind]
    patterns: Mapping[str, tuple[tuple[str, ...], ...]]
    incidents: Says
    changes: Mapping[str, str]


class Planned(msgspec.Struct, frozen=True, kw_only=True):
    """A class of the show; ``kind`` is ``None`` for one that is written out.

    ``turn`` counts the classes of its kind, and ``incident`` is what was dealt to it.
    """

    story: ClassStory
    kind: Kind | None = None
    turn: int = 0
    incident: str = ""


def the_programme() -> Programme:
    """The programme."""
    return msgspec.toml.decode(read(PROGRAMME), type=Programme)


def the_classes(show: ShowStory, programme: Programme) -> tuple[Planned, ...]:
    """Every class of the show in the order in which they begin, numbered by days."""
    planned = [*_drafted(show, programme), *(Planned(story=each) for each in written_out())]
    rings = {ring: at for at, ring in enumerate(show.rings)}
    planned.sort(key=lambda each: (each.story.begins, rings[each.story.ring]))
    numbers = {day.day: count(_HUNDRED * at + 1) for at, day in enumerate(programme.days, 1)}
    return tuple(
        msgspec.structs.replace(
            each,
            story=msgspec.structs.replace(
                each.story, number=next(numbers[each.story.begins.date()])
            ),
        )
        for each in planned
    )


def _drafted(show: ShowStory, programme: Programme) -> Iterator[Planned]:
    """The classes of the programme, with their entries and without their cards."""
    turns: Counter[str] = Counter()
    waiting: dict[str, str] = {}
    deal = count()
    for day in programme.days:
        entered: dict[datetime, set[int]] = {}
        for ring, kinds in day.rings.items():
            for begins, name in zip(_free(programme, day.day, ring), kinds, strict=False):
                kind, turn = programme.kinds[name], turns[name]
                turns[name] += 1
                story = _story(programme, ring, begins, name, turn)
                if kind.after is not None:
                    of = ClassRound(
                        kind=kind.round or "final",
                        after=waiting.pop(kind.after),
                        carries=kind.carries,
                    )
                    story = msgspec.structs.replace(story, round=of)
                else:
                    waiting[name] = story.id
                    story = _entered(
                        show, programme, story, kind, entered.setdefault(begins, set())
                    )
                dealt = programme.incidents.deal[next(deal) % len(programme.incidents.deal)]
                if turn == 0 and kind.first_incident is not None:
                    dealt = kind.first_incident
                if dealt == "late entry" and story.entries and not kind.divisions:
                    story = _one_late(story)
                yield Planned(story=story, kind=kind, turn=turn, incident=dealt)


def _free(programme: Programme, day: date, ring: str) -> Iterator[datetime]:
    """When classes may begin in a ring: no written-out class is held there at the time."""
    length = timedelta(minutes=programme.minutes_a_class)
    held = [each.begins for each in written_out() if each.ring == ring]
    begins = datetime.combine(day, programme.opens)
    while begins.date() == day:
        until = timedelta(minutes=programme.written_minutes)
        if not any(each < begins + length and begins < each + until for each in held):
            yield begins
        begins += length


def _story(programme: Programme, ring: str, begins: datetime, name: str, turn: int) -> ClassStory:
    kind = programme.kinds[name]
    patterns = kind.maneuvers or programme.patterns.get(kind.patterns or "", ((),))
    return ClassStory(
        id=f"{name}-{turn + 1}",
        name=f"{kind.name}, {kind.levels[turn % len(kind.levels)]}",
        rulebook=kind.rulebook,
        ring=ring,
        begins=begins,
        seconds_a_ride=kind.seconds_a_ride,
        seed=f"{programme.seed} {name} {turn + 1}",
        judges=_first(programme.panels[ring], kind.seats),
        admits=kind.divisions,
        learners=_first(programme.learners, kind.learners),
        maneuvers=patterns[turn % len(patterns)],
        panel=kind.panel,
        round=ClassRound(kind=kind.round) if kind.round else None,
        on_paper=kind.on_paper,
        apart=kind.apart,
        split_above=kind.split_above,
    )


def _first(seats: Mapping[str, str], wanted: int) -> dict[str, str]:
    return dict(list(seats.items())[:wanted])


def _entered(
    show: ShowStory, programme: Programme, story: ClassStory, kind: Kind, busy: set[int]
) -> ClassStory:
    """The class with its entries, of whom none is entered in another ring at the time."""
    lot = random.Random(f"{story.seed} entries")  # noqa: S311 - a demo's lots, the same every time
    free = sorted(
        number
        for number in set(show.pairs) - busy - _in_written_out(story.begins, programme)
        if not kind.divisions or show.level(number) in kind.divisions
    )
    lot.shuffle(free)
    wanted = lot.randint(*kind.entries)
    horses: dict[str, list[int]] = {}
    for number in free:
        horses.setdefault(show.rider(number), []).append(number)
    riders = list(horses.values())
    if kind.apart:  # somebody shows two horses in it
        riders.sort(key=len, reverse=True)
    entries = sorted(
        [first for first, *_ in riders[:wanted]] + (riders[0][1:2] if kind.apart else [])
    )
    entered = {show.rider(number) for number in entries}
    busy.update(number for number in show.pairs if show.rider(number) in entered)
    divisions = {number: show.level(number) for number in entries} if kind.divisions else {}
    return msgspec.structs.replace(
        story,
        entries=tuple(entries),
        divisions=divisions,
    )


def _one_late(story: ClassStory) -> ClassStory:
    """The class with one of its entries taken after the draw."""
    *entries, last = story.entries
    at = (story.begins - timedelta(minutes=75)).time()
    late = EnterLate(at=at, back=last)
    return msgspec.structs.replace(story, entries=tuple(entries), then=(late,))


def _in_written_out(begins: datetime, programme: Programme) -> set[int]:
    near = timedelta(minutes=programme.written_minutes)
    return {
        number
        for each in written_out()
        if abs(each.begins - begins) < near
        for number in each.entries
    }
