"""Plays the demo's show through the desk, as office, scribes and steward would."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import datetime, timedelta
from typing import NamedTuple

import msgspec

from events.envelope import Command, stream_of
from events.judged_class import commands as ask_class
from events.judged_class.state import ClassState
from events.refusals import Refusal
from events.scoring.draw_clashes import SpacingLimits
from events.show import commands as ask_show
from events.show.division import DivisionTerms, LevelsAdmitted
from events.show.facts import LevelHeld, RiderFacts
from service.demo.asking import command_of
from service.demo.changes import COMBINED, changed, overlooked
from service.demo.chooser import Chooser
from service.demo.happenings import CorrectPenalty, EnterLate, FileProtest, Happening, RunOff
from service.demo.programme import Planned, Programme
from service.demo.scenario import (
    ClassStory,
    Hand,
    ShowStory,
    book_named,
    entry_id,
    horse_id,
    rider_id,
)
from service.demo.timeline import Timed, timeline
from service.desk import classes as classes_desk
from service.desk import draw, facts, keys, people, rounds, schedule, shows
from service.desk.caller import Ask, Caller, Receipt, caller_of
from service.desk.classes import ClassPlan
from service.desk.classes import schedule as schedule_class
from service.desk.combining import Combination, combine
from service.desk.desk import Desk
from service.desk.draw_steps import LotPlan
from service.desk.importing import imported
from service.desk.sheets import from_csv
from service.desk.together import Sent, TurnedDown, carry_out_all

A_LINE = timedelta(seconds=20)
"""What the office needs for each thing that it enters beforehand."""


class TurnedAway(NamedTuple):
    """A protest that was not taken in, and what the refusal said."""

    at: datetime
    what: FileProtest
    said: str


class Player:
    """The show's hands: each with its key, its device, and ids that count up."""

    def __init__(self, desk: Desk, show: ShowStory, programme: Programme) -> None:
        self.desk = desk
        self.show = show
        self.programme = programme
        self._callers: dict[str, Caller] = {}
        self._sent: dict[str, int] = {}
        self._office_clock = show.moment(show.set_up)

    def open_show(self) -> Mapping[str, str]:
        """Make the keys, register everybody, plan the show; each key as its holder presents it."""
        plain = {name: hand for name, hand in self.show.keys.items() if not hand.bound}
        bound = {name: hand for name, hand in self.show.keys.items() if hand.bound}
        presented = {name: self._make_key(name, hand) for name, hand in plain.items()}
        self._register()
        shows.plan(self.desk, self.entering(), self.show.plan, self.show.id)
        for command in _show_commands(self.show):
            shows.carry_out(self.desk, self.entering(), self.show.id, command)
        presented |= {name: self._make_key(name, hand) for name, hand in bound.items()}
        return {name: presented[name] for name in self.show.keys}

    def enter_classes(self, classes: Iterable[Planned]) -> None:
        """Put every class on the schedule, with its pattern, judges and entries, and draw it."""
        adopted = set()
        for planned in classes:
            story = planned.story
            if story.rulebook not in adopted:
                adopted.add(story.rulebook)
                shows.adopt(self.desk, self.entering(), self.show.id, book_named(story.rulebook))
            plan = _plan(story, book_named(story.rulebook).id)
            schedule_class(self.desk, self.entering(), self.show.id, plan, story.id)
            slotted = ask_show.SlotClass(
                class_id=story.id,
                ring=story.ring,
                day=story.begins.date(),
                slot=story.number,
                not_before=story.begins.time(),
                seconds_a_ride=story.seconds_a_ride,
            )
            shows.carry_out(self.desk, self.entering(), self.show.id, slotted)
            if story.admits:
                divided = ask_show.SetClassDivisions(
                    class_id=story.id, admits=story.admits, must_name=True
                )
                schedule.of_class(self.desk, self.entering(), self.show.id, divided)
            sent = [Sent(self.entering(), each) for each in _class_commands(story)]
            _all_accepted(carry_out_all(self.desk, story.id, sent))
            if story.entries:
                rows = from_csv(_entry_list(self.show, story))
                imported(self.desk, self.entering(), story.id, rows)
                self._draw_lots(story)
        deadlines = ask_show.SetDeadlines(late_entry=60, scratch=30, horse_change=30)
        shows.carry_out(self.desk, self.entering(), self.show.id, deadlines)

    def hold(self, planned: Planned) -> tuple[TurnedAway, ...]:
        """Hold a class from its first call to its official results."""
        if self._state(planned.story).phase == "cancelled":
            return ()  # it was combined with another
        planned = self._change(planned)
        story = planned.story
        if story.round is not None and story.round.after is not None:
            rounds.enter_qualified(self.desk, self._office_at(story, -60), story.id)
            if story.round.carries:
                self._correct_round_before(story, story.round.after)
            self._draw_lots(story, self._office_at(story, -15))
        self._enter_late(story)
        drawn = self._drawn(story)
        book = book_named(story.rulebook)
        if planned.kind is not None:
            story = Chooser(self.show, self.programme, planned).complete(book, drawn)
        turned_away: list[TurnedAway] = []
        waiting: list[tuple[Timed, Sent]] = []
        command: Command | Happening | None
        for timed in timeline(self.show, story, drawn):
            if isinstance(timed.what, CorrectPenalty | RunOff):  # it hangs on what was done before
                turned_away += self._send(story, waiting)
                waiting = []
            command = timed.what
            if not isinstance(command, Command):
                command = command_of(command, self._state(story), book)
            if command is not None:
                waiting.append((timed, Sent(self._ask(timed.by, timed.at), command)))
        turned_away += self._send(story, waiting)
        return tuple(turned_away)

    def _change(self, planned: Planned) -> Planned:
        """The class as it is held, once the office has changed what the programme says."""
        story, what = planned.story, self.programme.changes.get(planned.story.id)
        if what is None:
            return planned
        if what == COMBINED:
            name, _, turn = story.id.rpartition("-")
            wanted = Combination(
                other=f"{name}-{int(turn) + 1}",
                division="taken-in",
                own_division="own",
                reason="Three entries are too few for a class of their own",
            )
            combine(self.desk, self._office_at(story, -60), story.id, wanted)
            self._draw_lots(story, self._office_at(story, -59))
            return planned
        held, commands = changed(story, what)
        sent = [Sent(self._office_at(story, -58), command) for command in commands]
        _all_accepted(carry_out_all(self.desk, story.id, sent))
        return msgspec.structs.replace(planned, story=held)

    def _correct_round_before(self, story: ClassStory, before: str) -> None:
        """A correction in the round before, which moves a total that was carried."""
        state = self.desk.classes.latest(stream_of("class", before)).state
        sent = [
            Sent(self._office_at(story, -minutes), command)
            for minutes, command in overlooked(state, book_named(story.rulebook))
        ]
        _all_accepted(carry_out_all(self.desk, before, sent))
        rounds.enter_qualified(self.desk, self._office_at(story, -17), story.id)

    def _send(
        self, story: ClassStory, waiting: Sequence[tuple[Timed, Sent]]
    ) -> Iterator[TurnedAway]:
        done = carry_out_all(self.desk, story.id, [sent for _, sent in waiting])
        for (timed, _), answer in zip(waiting, done, strict=True):
            if isinstance(answer, TurnedDown):
                yield _foreseen(timed, answer.why)

    def _enter_late(self, story: ClassStory) -> None:
        """Take those who come late, and let them go where the rule book says."""
        late = [each for each in story.then if isinstance(each, EnterLate)]
        for each in late:
            at = self.show.moment(story.begins, each.at)
            entry = _accept(self.show, each.back)
            command = msgspec.structs.replace(entry, late=True)
            classes_desk.carry_out(self.desk, self._ask("office", at), story.id, command)
        if late:
            draw.place_late(self.desk, self._office_at(story, -50), story.id)

    def _draw_lots(self, story: ClassStory, ask: Ask | None = None) -> None:
        limits = SpacingLimits(rider_apart=(story.apart,)) if story.apart else None
        plan = LotPlan(seed=story.seed, limits=limits, split_above=story.split_above)
        draw.by_lot(self.desk, ask or self.entering(), story.id, plan)

    def _office_at(self, story: ClassStory, minutes: int) -> Ask:
        begins = self.show.moment(story.begins)
        return self._ask("office", begins + timedelta(minutes=minutes))

    def caller(self, name: str) -> Caller:
        """Whoever holds one of the show's keys."""
        return self._callers[name]

    def _register(self) -> None:
        named = {official.id: official.name for official in self.show.officials}
        named |= self.show.others
        named |= {
            rider_id(number): pair.rider
            for number, pair in self.show.pairs.items()
            if pair.rider is not None
        }
        for name, person in named.items():
            people.register_person(self.desk, self.entering(), name=person, person_id=name)
        since = self.show.plan.first_day.replace(month=1, day=1)
        for number, pair in self.show.pairs.items():
            if pair.rider is not None and number != self.show.unknown_level:
                level = self.show.divisions[self.show.level(number)].level or ""
                held = RiderFacts(levels=(LevelHeld(level=level, since=since),))
                facts.keep_of_person(self.desk, rider_id(number), held)
            horse = horse_id(number)
            people.register_horse(self.desk, self.entering(), name=pair.horse, horse_id=horse)

    def _make_key(self, name: str, hand: Hand) -> str:
        show = self.show.id if hand.bound else None
        made = keys.make(self.desk, None, hand.role, label=hand.label, show=show, seat=hand.seat)
        self._callers[name] = caller_of(made.key, hand.device)
        return made.presented

    def entering(self, by: str = "office") -> Ask:
        """The envelope of the next thing that is entered before the show."""
        self._office_clock += A_LINE
        return self._ask(by, self._office_clock)

    def _ask(self, by: str, at: datetime) -> Ask:
        caller = self._callers[by]
        self._sent[by] = number = self._sent.get(by, 0) + 1
        return Ask(caller=caller, id=f"{caller.device}-{number:05}", occurred_at=at)

    def _state(self, story: ClassStory) -> ClassState:
        return self.desk.classes.latest(stream_of("class", story.id)).state

    def _drawn(self, story: ClassStory) -> list[int]:
        state = self._state(story)
        return [state.entries[entry].back_number for entry in state.draw]


def _show_commands(show: ShowStory) -> Iterator[Command]:
    for ring in show.rings:
        yield ask_show.AddRing(ring=ring)
    for official in show.officials:
        yield ask_show.NameOfficial(official=official.id, role=official.role)
    for number in show.pairs:
        yield ask_show.GiveBackNumber(
            number=number, exhibitor=show.rider(number), horse=horse_id(number)
        )
    for name, division in show.divisions.items():
        admitted = LevelsAdmitted(levels=(division.level,)) if division.level else None
        terms = DivisionTerms(rider_levels=admitted)
        yield ask_show.DefineDivision(division=name, terms=terms)
    yield ask_show.RecordEvidence(
        division=show.level(show.unknown_level),
        exhibitor=show.rider(show.unknown_level),
        reason="The card of the federation was shown at the office",
    )


def _plan(story: ClassStory, rulebook: str) -> ClassPlan:
    return ClassPlan(
        name=story.name,
        rulebook=rulebook,
        number=story.number,
        ring=story.ring,
        day=story.begins.date(),
        panel=story.panel,
        round=story.round,
    )


def _class_commands(story: ClassStory) -> Iterator[Command]:
    if story.maneuvers:
        yield ask_class.SetPattern(maneuvers=story.maneuvers)
    for seat, judge in story.judges.items():
        yield ask_class.SeatJudge(seat=seat, judge=judge)
    for seat, learner in story.learners.items():
        yield ask_class.SeatJudge(seat=seat, judge=learner, kind="learner")


def _accept(show: ShowStory, number: int, division: str | None = None) -> ask_class.AcceptEntry:
    return ask_class.AcceptEntry(
        entry=entry_id(number),
        back_number=number,
        exhibitor=show.rider(number),
        horse=horse_id(number),
        divisions=(division,) if division else (),
    )


def _entry_list(show: ShowStory, story: ClassStory) -> str:
    """The entries as the office has them in a table."""
    lines = ["entry,back_number,exhibitor,horse,divisions"]
    for number in story.entries:
        of = _accept(show, number, story.divisions.get(number))
        cells = (of.entry, str(number), of.exhibitor, of.horse or "", *of.divisions)
        lines.append(",".join(cells))
    return "\n".join(lines)


def _all_accepted(answers: Sequence[Receipt | TurnedDown]) -> None:
    for answer in answers:
        if isinstance(answer, TurnedDown):
            raise answer.why


def _foreseen(timed: Timed, why: Exception) -> TurnedAway:
    """What the show's files say is refused; any other refusal is a fault in them."""
    what = timed.what
    if isinstance(why, Refusal) and isinstance(what, FileProtest) and what.refused == why.code:
        return TurnedAway(timed.at, what, why.message)
    raise why
