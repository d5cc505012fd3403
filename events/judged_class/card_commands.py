"""What may be asked of a judge's card: what is written on it, signed, and put right."""

from events.envelope import Command, TextRef
from events.half_points import HalfPoints
from events.judged_class.events import Authority, OrderBy
from events.judged_class.naming import EntryRef
from events.rulebook.model import OutcomeKind


class GiveMark(Command, frozen=True, kw_only=True):
    """Mark a maneuver."""

    seat: str
    ref: EntryRef
    maneuver: int
    mark: HalfPoints
    performed: str | None = None


class CallPenalty(Command, frozen=True, kw_only=True):
    """Penalise one occurrence, by code, by size, or by both."""

    seat: str
    ref: EntryRef
    call: str
    code: str | None = None
    points: HalfPoints | None = None
    maneuver: int | None = None


class WithdrawPenalty(Command, frozen=True, kw_only=True):
    """Take one penalty back."""

    seat: str
    ref: EntryRef
    call: str


class GiveRiderMark(Command, frozen=True, kw_only=True):
    """Give the rider's own mark."""

    seat: str
    ref: EntryRef
    mark: HalfPoints


class CallOutcome(Command, frozen=True, kw_only=True):
    """Call a ride something other than a normal score."""

    seat: str
    ref: EntryRef
    kind: OutcomeKind
    maneuver: int | None = None
    reason: TextRef | None = None


class LiftOutcome(Command, frozen=True, kw_only=True):
    """Take an outcome back."""

    seat: str
    ref: EntryRef


class WithdrawMark(Command, frozen=True, kw_only=True):
    """Take the mark of a maneuver back, as one that was meant for another entry."""

    seat: str
    ref: EntryRef
    maneuver: int


class WithdrawRiderMark(Command, frozen=True, kw_only=True):
    """Take the rider's own mark back."""

    seat: str
    ref: EntryRef


class WithdrawTime(Command, frozen=True, kw_only=True):
    """Take a ride's time back."""

    seat: str
    ref: EntryRef


class WithdrawObservation(Command, frozen=True, kw_only=True):
    """Take one noted fault back."""

    seat: str
    ref: EntryRef
    observation: str


class ObserveFault(Command, frozen=True, kw_only=True):
    """Note a fault of position or performance."""

    seat: str
    ref: EntryRef
    observation: str
    code: str
    maneuver: int | None = None
    note: TextRef | None = None


class SignCard(Command, frozen=True, kw_only=True):
    """Sign a card that is complete."""

    seat: str


class ReopenCard(Command, frozen=True, kw_only=True):
    """Give a signed card back to its judge."""

    seat: str
    reason: TextRef


class SetOrder(Command, frozen=True, kw_only=True):
    """Put entries in order, best first."""

    seat: str
    order_id: str
    order: tuple[EntryRef, ...]
    by: OrderBy = "rail_work"
    reason: TextRef | None = None
    authority: Authority | None = None
    protest: str | None = None


class ConfirmOrder(Command, frozen=True, kw_only=True):
    """Let an order stand on what the entries stand at now."""

    seat: str
    order_id: str


class WithdrawOrder(Command, frozen=True, kw_only=True):
    """Take an order back."""

    seat: str
    order_id: str


class GiveTime(Command, frozen=True, kw_only=True):
    """Give a ride its time, in milliseconds."""

    seat: str
    ref: EntryRef
    milliseconds: int
    penalty_milliseconds: int = 0


class PlaceCard(Command, frozen=True, kw_only=True):
    """Place entries without scores, best first; on a signed card, for a reason."""

    seat: str
    order: tuple[EntryRef, ...]
    reason: TextRef | None = None
    authority: Authority | None = None
    protest: str | None = None


class CallBack(Command, frozen=True, kw_only=True):
    """Name the entries to see again in the next round."""

    seat: str
    entries: tuple[EntryRef, ...]


FactCommand = GiveMark | CallPenalty | GiveRiderMark | CallOutcome | ObserveFault | GiveTime
"""What may be asked for one ride of a card, and so what a correction may put in its place."""


class MakeCorrection(Command, frozen=True, kw_only=True):
    """Replace one fact of a signed card by another, take it away, or add one left out.

    ``replaces`` is the version that recorded the standing fact; ``fact`` is what should have been
    asked for instead, for the same seat and entry.
    """

    correction: str
    seat: str
    ref: EntryRef
    authority: Authority
    reason: TextRef
    replaces: int | None = None
    fact: FactCommand | None = None
    protest: str | None = None
