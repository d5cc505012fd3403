"""What is known of a class after its first n events."""

from collections.abc import Mapping
from datetime import datetime
from itertools import accumulate
from typing import Generic, Literal, TypeVar

import msgspec

from events.envelope import Event
from events.judged_class import events as happened

E = TypeVar("E", bound=Event)
Phase = Literal["unscheduled", "planned", "running", "posted", "official", "reopened", "cancelled"]
CardKind = Literal["judge", "learner", "closed"]
"""Whose card it is; one that is ``closed`` was a judge's, is kept and counts for nothing."""


class Known(msgspec.Struct, Generic[E], frozen=True):
    """A fact, and the version of the event that put it there."""

    version: int
    event: E


class Entry(msgspec.Struct, frozen=True, kw_only=True):
    """An entry of the class; ``gate`` is what the gate or an official decided, if anything.

    ``checked_at`` is the version of the show by whose divisions it was checked last.
    ``divided_at`` is the version of the event that changed its divisions last, if one did;
    ``carried_at`` is the version that last gave it another total from the round before.
    ``away`` holds the versions between which it was out of the class by mistake.
    """

    id: str
    back_number: int
    exhibitor: str
    horse: str | None
    version: int
    divisions: tuple[str, ...] = ()
    carried: int | None = None
    carried_at: int | None = None
    late: bool = False
    checked_at: int | None = None
    divided_at: int | None = None
    scratched: int | None = None
    calls: int = 0
    out_of_order: bool = False
    gate: Known[happened.EntryMissedGate] | Known[happened.EntryExcused] | None = None
    away: tuple[tuple[int, int], ...] = ()


class Ride(msgspec.Struct, frozen=True, kw_only=True):
    """What stands on one seat's card for one entry; the latest fact counts."""

    marks: Mapping[int, Known[happened.MarkGiven]] = {}
    penalties: tuple[Known[happened.PenaltyCalled], ...] = ()
    rider_mark: Known[happened.RiderMarkGiven] | None = None
    outcome: Known[happened.OutcomeCalled] | None = None
    observations: tuple[Known[happened.FaultObserved], ...] = ()
    time: Known[happened.TimeGiven] | None = None


class StandingOrder(msgspec.Struct, frozen=True, kw_only=True):
    """An order that a judge has set and not withdrawn, on its latest basis."""

    version: int
    event: happened.OrderSet
    basis: tuple[happened.BasisLine, ...]
    confirmed: int | None = None


class Card(msgspec.Struct, frozen=True, kw_only=True):
    """One seat's card. ``signed`` is the version of the signature that stands.

    ``before`` holds the judges who filled it earlier, each with the version of being replaced.
    """

    seat: str
    judge: str
    kind: CardKind
    version: int
    before: tuple[tuple[str, int], ...] = ()
    rides: Mapping[str, Ride] = {}
    orders: tuple[StandingOrder, ...] = ()
    placed: Known[happened.CardPlaced] | None = None
    called_back: Known[happened.CardCalledBack] | None = None
    signed: int | None = None

    @property
    def touched(self) -> bool:
        """Whether anything stands on it."""
        written = self.rides or self.orders or self.placed or self.called_back
        return bool(written) or self.signed is not None

    def judge_at(self, version: int) -> str:
        """Who filled the card when the event of that version was recorded."""
        return next((judge for judge, until in self.before if version < until), self.judge)


class Cancelled(msgspec.Struct, frozen=True, kw_only=True):
    """That a class is not held, and the phase that it had come to; ``into``: within which other."""

    version: int
    reason: str
    phase: Phase
    into: str | None = None


class Protest(msgspec.Struct, frozen=True, kw_only=True):
    """A protest and how it ended; both ends are ``None`` while it is open."""

    filed: Known[happened.ProtestFiled]
    withdrawn: int | None = None
    ruled: Known[happened.ProtestRuled] | None = None

    @property
    def is_open(self) -> bool:
        """Whether it still waits for a ruling."""
        return self.withdrawn is None and self.ruled is None


Paid = tuple[str | None, str | None, int | None]
"""Whose placing a purse is for: the seat, or the whole panel; the division, or the whole class."""


class ClassState(msgspec.Struct, frozen=True, kw_only=True):
    """A class as it is known at one version of its stream.

    ``sections`` are how many of the draw ride in each section, none where it is ridden as one.
    ``revision`` counts the postings. ``posted_at`` is the version of the last posting,
    ``official_at`` that at which results last became official (0: never), and ``changed_at`` that
    of the last event that could move a result.
    """

    version: int = 0
    scheduled: happened.ClassScheduled | None = None
    pattern: happened.PatternSet | None = None
    entries: Mapping[str, Entry] = {}
    draw: tuple[str, ...] = ()
    sections: tuple[int, ...] = ()
    cards: Mapping[str, Card] = {}
    phase: Phase = "unscheduled"
    revision: int = 0
    posted_at: int = 0
    protests_until: datetime | None = None
    changed_at: int = 0
    official_at: int = 0
    run_offs: tuple[Known[happened.RunOffHeld], ...] = ()
    contest_cuts: tuple[int, ...] = ()
    cut: Known[happened.CutMade] | None = None
    corrections: Mapping[str, Known[happened.CorrectionMade]] = {}
    protests: Mapping[str, Protest] = {}
    purses: Mapping[Paid, Known[happened.PrizeMoneyAwarded]] = {}
    cancelled: Cancelled | None = None
    combined: tuple[Known[happened.ClassCombined], ...] = ()

    @property
    def has_been_official(self) -> bool:
        """Whether results have been official at any time."""
        return self.official_at > 0

    @property
    def leads_on(self) -> bool:
        """Whether the class is a round that another one follows."""
        of = self.scheduled.round if self.scheduled else None
        return of is not None and of.kind != "final"

    def working_order(self, entry: str) -> int | None:
        """The working-order number of an entry: its place in the draw, from 1."""
        return self.draw.index(entry) + 1 if entry in self.draw else None

    def section(self, entry: str) -> int | None:
        """The section that an entry rides in, from 1; ``None`` without sections or a draw."""
        number = self.working_order(entry) if self.sections else None
        if number is None:
            return None
        last_numbers = enumerate(accumulate(self.sections), start=1)
        return next((section for section, last in last_numbers if number <= last), None)


INITIAL = ClassState()
