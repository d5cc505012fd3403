"""Plays the demo's show through the desk, as office, scribes and steward would."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime, timedelta
from typing import NamedTuple

from events.envelope import Command, stream_of
from events.judged_class import commands as ask_class
from events.judged_class.state import ClassState
from events.refusals import Refusal
from events.show import commands as ask_show
from service.demo.asking import command_of
from service.demo.happenings import FileProtest, Happening
from service.demo.scenario import ClassStory, Hand, ShowStory, entry_id, horse_id, rider_id
from service.demo.timeline import timeline
from service.desk import classes, draw, keys, people, shows
from service.desk.caller import Ask, Caller, caller_of
from service.desk.classes import ClassPlan
from service.desk.desk import Desk

A_LINE = timedelta(seconds=20)
"""What the office needs for each thing that it enters beforehand."""


class TurnedAway(NamedTuple):
    """A protest that was not taken in, and what the refusal said."""

    at: datetime
    what: FileProtest
    said: str


class Player:
    """The show's hands: each with its key, its device, and ids that count up."""

    def __init__(self, desk: Desk, show: ShowStory) -> None:
        self.desk = desk
        self.show = show
        self._callers: dict[str, Caller] = {}
        self._sent: dict[str, int] = {}
        self._office_clock = show.moment(show.set_up)

    def open_show(self) -> Mapping[str, str]:
        """Make the keys, register everybody, plan the show; each key as its holder presents it."""
        plain = {name: hand for name, hand in self.show.keys.items() if not hand.bound}
        bound = {name: hand for name, hand in self.show.keys.items() if hand.bound}
        presented = {name: self._make_key(name, hand) for name, hand in plain.items()}
        self._register()
        shows.plan(self.desk, self._entering(), self.show.plan, self.show.id)
        for command in _show_commands(self.show):
            shows.carry_out(self.desk, self._entering(), self.show.id, command)
        presented |= {name: self._make_key(name, hand) for name, hand in bound.items()}
        return {name: presented[name] for name in self.show.keys}

    def enter_classes(self, stories: Sequence[ClassStory]) -> None:
        """Put every class on the schedule, with its pattern, judges, entries and draw."""
        for slot, story in enumerate(stories, start=1):
            book = self.desk.books.named(story.rulebook)
            shows.adopt(self.desk, self._entering(), self.show.id, book)
            classes.schedule(self.desk, self._entering(), self.show.id, _plan(story), story.id)
            slotted = ask_show.SlotClass(
                class_id=story.id,
                ring=story.ring,
                day=story.begins.date(),
                slot=slot,
                not_before=story.begins.time(),
                seconds_a_ride=story.seconds_a_ride,
            )
            shows.carry_out(self.desk, self._entering(), self.show.id, slotted)
            for command in _class_commands(story):
                classes.carry_out(self.desk, self._entering(), story.id, command)
            draw.by_lot(self.desk, self._entering(), story.id, draw.LotPlan(seed=story.seed))

    def hold(self, story: ClassStory) -> tuple[TurnedAway, ...]:
        """Hold a class from its first call to its official results."""
        turned_away = []
        for at, by, what in timeline(self.show, story, self._draw(story)):
            command = what if isinstance(what, Command) else command_of(what, self._state(story))
            if command is None:
                continue
            try:
                classes.carry_out(self.desk, self._ask(by, at), story.id, command)
            except Refusal as refusal:
                turned_away.append(_foreseen(at, what, refusal))
        return tuple(turned_away)

    def caller(self, name: str) -> Caller:
        """Whoever holds one of the show's keys."""
        return self._callers[name]

    def _register(self) -> None:
        named = {official.id: official.name for official in self.show.officials}
        named |= self.show.others
        named |= {rider_id(number): pair.rider for number, pair in self.show.pairs.items()}
        for name, person in named.items():
            people.register_person(self.desk, self._entering(), name=person, person_id=name)
        for number, pair in self.show.pairs.items():
            horse = horse_id(number)
            people.register_horse(self.desk, self._entering(), name=pair.horse, horse_id=horse)

    def _make_key(self, name: str, hand: Hand) -> str:
        show = self.show.id if hand.bound else None
        made = keys.make(self.desk, None, hand.role, label=hand.label, show=show, seat=hand.seat)
        self._callers[name] = caller_of(made.key, hand.device)
        return made.presented

    def _entering(self) -> Ask:
        self._office_clock += A_LINE
        return self._ask("office", self._office_clock)

    def _ask(self, by: str, at: datetime) -> Ask:
        caller = self._callers[by]
        self._sent[by] = number = self._sent.get(by, 0) + 1
        return Ask(caller=caller, id=f"{caller.device}-{number:05}", occurred_at=at)

    def _state(self, story: ClassStory) -> ClassState:
        return self.desk.classes.latest(stream_of("class", story.id)).state

    def _draw(self, story: ClassStory) -> list[int]:
        state = self._state(story)
        return [state.entries[entry].back_number for entry in state.draw]


def _show_commands(show: ShowStory) -> Iterator[Command]:
    for ring in show.rings:
        yield ask_show.AddRing(ring=ring)
    for official in show.officials:
        yield ask_show.NameOfficial(official=official.id, role=official.role)
    for number in show.pairs:
        yield ask_show.GiveBackNumber(
            number=number, exhibitor=rider_id(number), horse=horse_id(number)
        )


def _plan(story: ClassStory) -> ClassPlan:
    return ClassPlan(
        name=story.name,
        rulebook=story.rulebook,
        number=story.number,
        ring=story.ring,
        day=story.begins.date(),
    )


def _class_commands(story: ClassStory) -> Iterator[Command]:
    yield ask_class.SetPattern(maneuvers=story.maneuvers)
    for seat, judge in story.judges.items():
        yield ask_class.SeatJudge(seat=seat, judge=judge)
    for number in story.entries:
        yield ask_class.AcceptEntry(
            entry=entry_id(number),
            back_number=number,
            exhibitor=rider_id(number),
            horse=horse_id(number),
        )


def _foreseen(at: datetime, what: Command | Happening, refusal: Refusal) -> TurnedAway:
    """What the show's files say is refused; any other refusal is a fault in them."""
    if isinstance(what, FileProtest) and what.refused == refusal.code:
        return TurnedAway(at, what, refusal.message)
    raise refusal
