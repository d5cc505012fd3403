"""Given some commands, when another is asked for, then these events or that refusal."""

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime, timedelta
from typing import Self, cast

import msgspec
import pytest

from events.envelope import Actor, Command, Event
from events.judged_class import commands as ask
from events.judged_class.decide import decide
from events.judged_class.events import ClassEvent, OrderBy
from events.judged_class.evolve import evolve
from events.judged_class.standing import seat_placing
from events.judged_class.state import INITIAL, ClassState
from events.refusals import Refusal
from events.rulebook.model import OutcomeKind, RuleBook, RuleBookRef
from events.scoring.placing import Placed
from tests.core.books import SMALL

OFFICE = Actor(key="office-1", role="office")
STEWARD = Actor(key="steward-1", role="steward")
NOON = datetime(2026, 6, 6, 12, tzinfo=UTC)
BOOK_REF = RuleBookRef(id="small", edition="1", digest="sha256:00")
BACK_NUMBERS = (214, 87, 305, 46, 118, 9, 530, 61)
"""Back numbers of e1, e2, ...: never the working-order number of any of them."""
SCHEDULE = ask.ScheduleClass(show="s1", name="Youth western horsemanship", rulebook=BOOK_REF)


def scribe(seat: str) -> Actor:
    return Actor(key=f"scribe-{seat}", role="scribe", seat=seat, device=f"tablet-{seat}")


def entry(name: str) -> ask.EntryRef:
    return ask.EntryRef(entry=name)


def accept(number: int) -> ask.AcceptEntry:
    """Entry e1, e2, ... under its back number."""
    return ask.AcceptEntry(
        entry=f"e{number}", back_number=BACK_NUMBERS[number - 1], exhibitor=f"p{number}"
    )


def mark(
    seat: str, name: str, maneuver: int, points: int, performed: str | None = None
) -> ask.GiveMark:
    return ask.GiveMark(
        seat=seat, ref=entry(name), maneuver=maneuver, mark=points, performed=performed
    )


def rider(seat: str, name: str, points: int) -> ask.GiveRiderMark:
    return ask.GiveRiderMark(seat=seat, ref=entry(name), mark=points)


def penalty(
    seat: str,
    name: str,
    call: str,
    *,
    code: str | None = None,
    points: int | None = None,
    maneuver: int | None = None,
) -> ask.CallPenalty:
    return ask.CallPenalty(
        seat=seat, ref=entry(name), call=call, code=code, points=points, maneuver=maneuver
    )


def outcome(
    seat: str, name: str, kind: OutcomeKind, maneuver: int | None = None
) -> ask.CallOutcome:
    return ask.CallOutcome(seat=seat, ref=entry(name), kind=kind, maneuver=maneuver)


def observe(
    seat: str, name: str, observation: str, code: str = "eyes-down", maneuver: int | None = None
) -> ask.ObserveFault:
    return ask.ObserveFault(
        seat=seat, ref=entry(name), observation=observation, code=code, maneuver=maneuver
    )


def order(
    seat: str, order_id: str, names: str | Sequence[str], by: OrderBy = "rail_work"
) -> ask.SetOrder:
    named = names.split() if isinstance(names, str) else names
    return ask.SetOrder(
        seat=seat, order_id=order_id, order=tuple(entry(name) for name in named), by=by
    )


def correction(
    number: str,
    fact: ask.FactCommand | None = None,
    *,
    replaces: int | None = None,
    of: tuple[str, str] = ("A", "e1"),
    **more: object,
) -> ask.MakeCorrection:
    """A correction on the judge's word, on the card of seat A for e1 unless it says otherwise."""
    seat, name = (fact.seat, fact.ref) if fact is not None else (of[0], entry(of[1]))
    asked = ask.MakeCorrection(
        correction=number,
        seat=seat,
        ref=name,
        authority="judge",
        reason="sha256:misheard",
        replaces=replaces,
        fact=fact,
    )
    return msgspec.structs.replace(asked, **more)


class Scene:
    """A class as commands have made it; ``given`` holds each command to being repeatable."""

    def __init__(self, book: RuleBook = SMALL) -> None:
        self.book = book
        self.state: ClassState = INITIAL
        self.log: list[ClassEvent] = []
        self.now = NOON

    def when(self, command: Command, by: Actor = OFFICE) -> tuple[Event, ...]:
        """What the command would make happen now; the scene stays as it is."""
        return decide(self.state, command, rulebook=self.book, now=self.now, actor=by)

    def given(self, *commands: Command, by: Actor = OFFICE) -> Self:
        """Each command was carried out, made something happen, and would do nothing again."""
        for command in commands:
            happened = self.when(command, by)
            assert happened, f"{command} was so already"
            self._fold(happened)
            assert self.when(command, by) == ()
        return self

    def refusal(self, command: Command, by: Actor = OFFICE) -> Refusal:
        """How the command is refused, which must be readable and name a field it has."""
        with pytest.raises(Refusal) as caught:
            self.when(command, by)
        check_readable(caught.value, command)
        return caught.value

    def refuses(self, command: Command, code: str, field: str | None, by: Actor = OFFICE) -> None:
        """The command is refused with this code, naming this field."""
        refused = self.refusal(command, by)
        assert (refused.code, refused.field) == (code, field)

    def later(self, **by: int) -> Self:
        """Time has passed."""
        self.now += timedelta(**by)
        return self

    def version_of(self, command: Command, by: Actor = OFFICE) -> int:
        """Carries the command out and answers the version of its event."""
        self.given(command, by=by)
        return len(self.log)

    def placed(self, seat: str = "A") -> dict[str, str]:
        """Each entry's place on a card as people write it: ``1``, ``2=``, ``-`` for none."""
        return {
            row.entry: f"{row.place or '-'}{'=' if row.tied else ''}" for row in self.rows(seat)
        }

    def rows(self, seat: str = "A") -> tuple[Placed, ...]:
        """The placing of one card."""
        return seat_placing(self.state, self.state.cards[seat], self.book)

    def _fold(self, happened: tuple[Event, ...]) -> None:
        for event in happened:
            self.log.append(cast("ClassEvent", event))
            self.state = evolve(self.state, cast("ClassEvent", event))

    # --- from the schedule to the official placing ----------------------------------------------

    def planned(
        self, entries: int = 3, *, seats: str = "A", learners: str = "", maneuvers: int = 2
    ) -> Self:
        """The class is scheduled, drawn in the order e1, e2, ..., and its seats are taken."""
        self.given(
            SCHEDULE, ask.SetPattern(maneuvers=tuple(f"Maneuver {n + 1}" for n in range(maneuvers)))
        )
        for kind, names in (("judge", seats), ("learner", learners)):
            for seat in names:
                self.given(
                    msgspec.convert(
                        {"seat": seat, "judge": f"judge-{seat}", "kind": kind}, ask.SeatJudge
                    )
                )
        self.given(*(accept(number + 1) for number in range(entries)))
        return self.given(ask.SetDraw(order=tuple(f"e{n + 1}" for n in range(entries))))

    def marked(self, totals: Mapping[str, int], seat: str = "A") -> Self:
        """Complete rides: the first maneuver's mark is given, the others and the rider's are 0."""
        maneuvers = len(self.state.pattern.maneuvers) if self.state.pattern else 0
        for name, first in totals.items():
            for maneuver in range(1, maneuvers + 1):
                self.given(mark(seat, name, maneuver, first if maneuver == 1 else 0))
            if self.book.scale.rider_mark is not None:
                self.given(rider(seat, name, 0))
        return self

    def signed(self, seats: str = "A") -> Self:
        """The cards of these seats are signed."""
        return self.given(*(ask.SignCard(seat=seat) for seat in seats))

    def posted(self) -> Self:
        """Every judge's card is signed if it was not, and results are posted."""
        open_ones = [card.seat for card in self.state.cards.values() if card.signed is None]
        return self.signed("".join(open_ones)).given(ask.PostResults())

    def official(self) -> Self:
        """Results are posted and official."""
        return self.posted().given(ask.MakeOfficial(reason="sha256:seen"))


def ridden(book: RuleBook = SMALL, **totals: int) -> Scene:
    """A class with one judge in which these entries (e1, e2, ...) have complete rides."""
    return Scene(book).planned(len(totals)).marked(totals)


def check_readable(refused: Refusal, command: Command) -> None:
    """The refusal is a sentence for people, and its field is a part of the command."""
    said = str(refused)
    assert said == refused.message
    assert said[0].isupper() or said[0] in "+-0123456789"
    assert said.endswith(".")
    for machine in ("_", "None", "{", "}", "('", "',)", "<"):
        assert machine not in said
    if refused.field is not None:
        part = refused.field.split("[")[0].split(".")[0]
        fields = {each.name for each in msgspec.structs.fields(command)}
        refs = {"entry", "working_order", "back_number"} if "ref" in fields else set()
        assert part in fields | refs
