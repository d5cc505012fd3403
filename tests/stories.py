"""The story of a class as it is recorded, one command after another."""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from typing import Self, cast

import msgspec

from events.catalogue import CODEC
from events.envelope import Actor, Command, NewEvent, RecordedEvent, stream_of
from events.judged_class import commands as ask
from events.judged_class.decide import decide
from events.judged_class.events import ClassEvent
from events.judged_class.evolve import evolve
from events.judged_class.state import INITIAL, ClassState
from events.projections.history import History
from events.rulebook.load import digest
from events.rulebook.model import RuleBook, RuleBookRef
from service.books import shipped_book

CLASS = "c-12"
STREAM = stream_of("class", CLASS)
START = datetime(2026, 6, 6, 9, tzinfo=UTC)
PATTERN = ("Walk to the marker", "Stop", "Lope a circle")
OFFICE = Actor(key="office", role="office")
STEWARD = Actor(key="steward", role="steward")
REASON = "0" * 64
"""Stands for the digest of a text that lies beside the log."""

WESTERN = shipped_book("western-horsemanship")


class Told(msgspec.Struct, frozen=True):
    """A story as it was recorded: under which book, which bytes, and what they say."""

    book: RuleBook
    raws: tuple[bytes, ...]
    history: History

    @property
    def events(self) -> Sequence[RecordedEvent]:
        return self.history.events

    def __repr__(self) -> str:
        tags = (str(event.data.__struct_config__.tag) for event in self.events)
        return f"<{self.book.id}, {self.book.judging}: {' '.join(tags)}>"


def scribe(seat: str) -> Actor:
    return Actor(key=f"scribe-{seat}", role="scribe", seat=seat, device=f"tablet-{seat}")


def entry(name: str) -> ask.EntryRef:
    return ask.EntryRef(entry=name)


def scheduled(book: RuleBook) -> ask.ScheduleClass:
    ref = RuleBookRef(id=book.id, edition=book.edition, digest=digest(book))
    return ask.ScheduleClass(show="s-1", name="Youth", rulebook=ref, number=12)


class Recorder:
    """Carries commands out and keeps what was recorded; a refused one raises its ``Refusal``."""

    def __init__(self, book: RuleBook = WESTERN) -> None:
        self.book = book
        self.state: ClassState = INITIAL
        self.raws: list[bytes] = []
        self.events: list[RecordedEvent] = []
        self.now = START
        self.gap = 1

    @property
    def version(self) -> int:
        return len(self.events)

    @property
    def told(self) -> Told:
        return Told(self.book, tuple(self.raws), History(tuple(self.events)))

    def record(self, command: Command, by: Actor, occurred_at: datetime | None = None) -> None:
        """Record what the command makes happen, one event after another."""
        for data in decide(self.state, command, rulebook=self.book, now=self.now, actor=by):
            version = len(self.events) + 1
            new = NewEvent(
                id=f"e-{version}",
                command=f"k-{version}",
                actor=by,
                occurred_at=occurred_at or self.now,
                data=data,
            )
            raw = CODEC.encode(new, stream=STREAM, version=version).at(self.now)
            last = self.events[-1].position if self.events else 0
            event = CODEC.decode(raw, last + self.gap)
            self.raws.append(raw)
            self.events.append(event)
            self.state = evolve(self.state, cast("ClassEvent", event.data))

    def later(self, **by: float) -> Self:
        self.now += timedelta(**by)
        return self

    # --- what nearly every story has ----------------------------------------------------------

    def planned(self, entries: int = 3, seats: str = "A") -> Self:
        """A class of n1, n2, ... drawn in that order, with a pattern of three maneuvers."""
        self.record(scheduled(self.book), OFFICE)
        self.record(ask.SetPattern(maneuvers=PATTERN), OFFICE)
        for seat in seats:
            self.record(ask.SeatJudge(seat=seat, judge=f"judge-{seat}"), OFFICE)
        for number in range(1, entries + 1):
            accept = ask.AcceptEntry(
                entry=f"n{number}", back_number=100 + 7 * number, exhibitor=f"p{number}"
            )
            self.record(accept, OFFICE)
        order = tuple(f"n{number}" for number in range(1, entries + 1))
        self.record(ask.SetDraw(order=order), OFFICE)
        return self

    def mark(self, name: str, maneuver: int, mark: int, seat: str = "A") -> int:
        """Carry a mark out five seconds later; the version of its event."""
        self.later(seconds=5)
        command = ask.GiveMark(seat=seat, ref=entry(name), maneuver=maneuver, mark=mark)
        self.record(command, scribe(seat))
        return self.version

    def ride(self, name: str, first: int = 0, rider: int = 0, seat: str = "A") -> Self:
        """A complete ride: a mark for the first maneuver, nought for the others."""
        for maneuver in range(1, len(PATTERN) + 1):
            self.mark(name, maneuver, first if maneuver == 1 else 0, seat)
        if self.book.scale.rider_mark is not None:
            self.later(seconds=5)
            command = ask.GiveRiderMark(seat=seat, ref=entry(name), mark=rider)
            self.record(command, scribe(seat))
        return self

    def signed(self, seat: str = "A") -> Self:
        self.later(seconds=5).record(ask.SignCard(seat=seat), scribe(seat))
        return self

    def official(self) -> Self:
        self.later(minutes=2).record(ask.PostResults(), OFFICE)
        self.later(minutes=40).record(ask.MakeOfficial(), OFFICE)
        return self

    def put_right(self) -> Self:
        """Official results are reopened, and a mark of n2 is corrected, for an office error."""
        reopen = ask.ReopenResults(authority="office_error", reason=REASON)
        self.later(minutes=5).record(reopen, OFFICE)
        wrong = self.state.cards["A"].rides["n2"].marks[1].version
        right = ask.GiveMark(seat="A", ref=entry("n2"), maneuver=1, mark=5)
        correction = ask.MakeCorrection(
            correction="put-right",
            seat="A",
            ref=entry("n2"),
            authority="office_error",
            reason=REASON,
            replaces=wrong,
            fact=right,
        )
        self.record(correction, STEWARD)
        return self
