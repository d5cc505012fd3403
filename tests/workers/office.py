"""A show office at work: a show with invented people, and classes that become official."""

import itertools
from collections.abc import Iterator
from datetime import date

from events.awards.rules import Carrier, Category
from events.envelope import Command, Role, stream_of
from events.judged_class import commands as ask_class
from events.judged_class.commands import EntryRef
from events.judged_class.events import MarkGiven
from events.show.commands import PlanShow
from service.desk import classes, people, show_awards, shows
from service.desk.caller import Ask, Caller
from service.desk.classes import ClassPlan
from service.desk.desk import Desk
from service.desk.seasons import AwardPlan
from service.points import shipped_table
from service.store import standings as kept

SHOW = "quiet-creek"
ORIGIN = "quiet-creek.example/log"
BOOK = "western-horsemanship"
RIDERS = {"p-1": "Mara Lindqvist", "p-2": "Tomas Okafor", "p-3": "=HYPERLINK(1)"}
"""The third has chosen a name that a spreadsheet would run."""

HORSES = {"h-1": "Dun Deal", "h-2": "Ein schöner Tag", "h-3": "Second, Hand"}
MANEUVERS = ("Walk to the marker", "Lope a circle")
SEATS = ("A", "B")


class Office:
    """Whoever works the desk, with a key for every role."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self._numbers: Iterator[int] = itertools.count(1)

    def ask(self, role: Role = "office", seat: str | None = None) -> Ask:
        caller = Caller(key=f"key-{role}-{id(self)}", role=role, seat=seat, show=None)
        return Ask(caller=caller, id=f"command-{next(self._numbers)}")

    def open_show(self) -> None:
        """The show is planned, its judges and riders are registered, its rule book is adopted."""
        plan = PlanShow(
            name="Quiet Creek Autumn Show",
            place="Quiet Creek",
            time_zone="Europe/Stockholm",
            first_day=date(2026, 9, 5),
            last_day=date(2026, 9, 6),
        )
        shows.plan(self.desk, self.ask(), plan, SHOW)
        shows.adopt(self.desk, self.ask(), SHOW, self.desk.books.named(BOOK))
        for identifier, name in {**RIDERS, "j-A": "Ines Varga", "j-B": "Per Holm"}.items():
            people.register_person(self.desk, self.ask(), name=name, person_id=identifier)
        for identifier, name in HORSES.items():
            people.register_horse(self.desk, self.ask(), name=name, horse_id=identifier)

    def ride_class(self, class_id: str, *, seats: str = "A") -> None:
        """Three entries are ridden and marked: 71.5, 70 and 70, which share the second place."""
        plan = ClassPlan(name=f"Class {class_id}", rulebook=BOOK, number=7)
        classes.schedule(self.desk, self.ask(), SHOW, plan, class_id)
        self.do(class_id, ask_class.SetPattern(maneuvers=MANEUVERS))
        for seat in seats:
            self.do(class_id, ask_class.SeatJudge(seat=seat, judge=f"j-{seat}"))
        for number in (1, 2, 3):
            accept = ask_class.AcceptEntry(
                entry=f"e-{number}",
                back_number=100 + number,
                exhibitor=f"p-{number}",
                horse=f"h-{number}",
                divisions=("open",),
            )
            self.do(class_id, accept)
        classes.set_draw(
            self.desk, self.ask(), class_id, tuple(EntryRef(entry=f"e-{n}") for n in (1, 2, 3))
        )
        for seat in seats:
            self._mark(class_id, seat)

    def publish(self, class_id: str) -> None:
        """The cards are signed where they were not, and the results posted and made official."""
        state = self.desk.classes.latest(stream_of("class", class_id)).state
        for seat, card in state.cards.items():
            if card.signed is None:
                sign = ask_class.SignCard(seat=seat)
                classes.carry_out(self.desk, self.ask("scribe", seat), class_id, sign)
        self.do(class_id, ask_class.PostResults())
        self.do(class_id, ask_class.MakeOfficial(reason="Everybody has seen the cards."))

    def correct(self, class_id: str, mark: int) -> None:
        """The first mark of the second entry is put right, and the class made official again."""
        self.do(
            class_id,
            ask_class.ReopenResults(authority="office_error", reason="A mark was typed wrongly."),
        )
        fact = ask_class.GiveMark(seat="A", ref=EntryRef(entry="e-2"), maneuver=1, mark=mark)
        self.do(
            class_id,
            ask_class.MakeCorrection(
                correction=f"correction-{next(self._numbers)}",
                seat="A",
                ref=fact.ref,
                authority="office_error",
                reason="The scribe wrote it on the wrong line.",
                replaces=self._standing_mark(class_id),
                fact=fact,
            ),
        )
        self.publish(class_id)

    def official_class(self, class_id: str, *, corrections: int = 0) -> None:
        """A class is ridden, made official, and corrected so many times."""
        self.ride_class(class_id)
        self.publish(class_id)
        for number in range(corrections):
            self.correct(class_id, mark=2 + number)

    def define_award(
        self, award: str, table: str, *, carrier: Carrier = "rider", reason: str | None = None
    ) -> None:
        """An award over every class of the show."""
        plan = AwardPlan(
            award=award,
            name=award.capitalize(),
            carrier=carrier,
            points=shipped_table(table),
            categories=(Category(name="All classes"),),
        )
        show_awards.define(self.desk, self.ask(), SHOW, plan, reason=reason)

    def toss(self, award: str, reason: str) -> None:
        """A coin for the first tie of an award as it is reckoned; nothing where there is none."""
        owner = kept.of_show(SHOW)
        at = kept.tag(self.desk.database, owner, award).position
        found = self.desk.standings.at(owner, award, at)
        tied = [row for row in found.reckoned if row.tied] if found is not None else []
        order = [row.carrier for row in tied if row.place == tied[0].place][::-1]
        if order:
            show_awards.settle(self.desk, self.ask(), SHOW, award, order, by="coin", reason=reason)

    def do(self, class_id: str, command: Command) -> None:
        classes.carry_out(self.desk, self.ask(), class_id, command)

    def _mark(self, class_id: str, seat: str) -> None:
        for number, first in ((1, 3), (2, 0), (3, 0)):
            ref = EntryRef(entry=f"e-{number}")
            marks: list[Command] = [
                ask_class.GiveMark(seat=seat, ref=ref, maneuver=1, mark=first),
                ask_class.GiveMark(seat=seat, ref=ref, maneuver=2, mark=0),
                ask_class.GiveRiderMark(seat=seat, ref=ref, mark=0),
            ]
            for each in marks:
                classes.carry_out(self.desk, self.ask("scribe", seat), class_id, each)

    def _standing_mark(self, class_id: str) -> int:
        state = self.desk.classes.latest(stream_of("class", class_id)).state
        known = state.cards["A"].rides["e-2"].marks[1]
        assert isinstance(known.event, MarkGiven)
        return known.version
