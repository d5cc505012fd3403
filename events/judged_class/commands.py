"""What may be asked of a class. Ids that must not repeat are chosen by whoever asks."""

from datetime import date

import msgspec

from events.envelope import Command, TextRef
from events.half_points import HalfPoints
from events.judged_class.events import (
    Authority,
    ClassRound,
    OrderBy,
    SeatKind,
    Verdict,
)
from events.rulebook.model import OutcomeKind, PanelChoice, RuleBookRef


class EntryRef(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """An entry named by its id, its working-order number, its back number, or several of them.

    The two numbers are different things and easily confused on a card: those that are given must
    mean the same entry.
    """

    entry: str | None = None
    working_order: int | None = None
    back_number: int | None = None


class ScheduleClass(Command, frozen=True, kw_only=True):
    """Put the class on its show's schedule."""

    show: str
    name: str
    rulebook: RuleBookRef
    number: int | None = None
    ring: str | None = None
    day: date | None = None
    panel: PanelChoice | None = None
    round: ClassRound | None = None


class SetPattern(Command, frozen=True, kw_only=True):
    """Set the pattern's maneuvers, in order."""

    maneuvers: tuple[str, ...]
    name: str | None = None


class SeatJudge(Command, frozen=True, kw_only=True):
    """Give a judge or a learner a seat."""

    seat: str
    judge: str
    kind: SeatKind = "judge"


class AcceptEntry(Command, frozen=True, kw_only=True):
    """Enter an exhibitor and a horse under a back number."""

    entry: str
    back_number: int
    exhibitor: str
    horse: str | None = None
    divisions: tuple[str, ...] = ()
    carried: HalfPoints | None = None
    late: bool = False
    checked_at: int | None = None


class ScratchEntry(Command, frozen=True, kw_only=True):
    """Take an entry out before it is judged."""

    ref: EntryRef
    reason: TextRef | None = None


class SetDraw(Command, frozen=True, kw_only=True):
    """Set the working order by entry ids, before anyone has been judged."""

    order: tuple[str, ...]
    seed: str | None = None


class RepairDraw(Command, frozen=True, kw_only=True):
    """Change the working order, for a reason."""

    order: tuple[str, ...]
    reason: TextRef


class CallEntry(Command, frozen=True, kw_only=True):
    """Call an entry to the gate for the first, second or third time."""

    ref: EntryRef
    call: int


class RecordMissedGate(Command, frozen=True, kw_only=True):
    """Record that an entry did not come when called."""

    ref: EntryRef


class ExcuseEntry(Command, frozen=True, kw_only=True):
    """Let an entry out of the class, or send it out."""

    ref: EntryRef
    reason: TextRef | None = None


class RecordOutOfOrder(Command, frozen=True, kw_only=True):
    """Record that an entry rode when it was another's turn."""

    ref: EntryRef


class GrantReride(Command, frozen=True, kw_only=True):
    """Let an entry ride again, its first ride no longer counting."""

    ref: EntryRef
    reason: TextRef


class ChangeHorse(Command, frozen=True, kw_only=True):
    """Let an exhibitor ride another horse than entered, before the ride is judged."""

    ref: EntryRef
    horse: str
    reason: TextRef | None = None
    checked_at: int | None = None


class HoldRunOff(Command, frozen=True, kw_only=True):
    """Record how a run-off between entries that the panel left equal ended."""

    order: tuple[EntryRef, ...] = ()
    declined: tuple[EntryRef, ...] = ()
    award_to: EntryRef | None = None


class MakeCut(Command, frozen=True, kw_only=True):
    """Send the first ``size`` entries on to the next round, with those tied at the cut or not."""

    size: int
    with_ties: bool = True


class SetContestCuts(Command, frozen=True, kw_only=True):
    """Set the cuts between neighbouring official places, best first, for learners' scores."""

    cuts: tuple[int, ...]


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


class PostResults(Command, frozen=True, kw_only=True):
    """Post the results as the next revision."""


class MakeOfficial(Command, frozen=True, kw_only=True):
    """Make the posted results official."""


class ReopenResults(Command, frozen=True, kw_only=True):
    """Open official results again."""

    authority: Authority
    reason: TextRef
    protest: str | None = None


class FileProtest(Command, frozen=True, kw_only=True):
    """Take a protest in."""

    protest: str
    filed_by: str
    ground: str
    statement: TextRef
    ref: EntryRef | None = None
    seat: str | None = None
    versions: tuple[int, ...] = ()
    fee_paid: bool = False


class WithdrawProtest(Command, frozen=True, kw_only=True):
    """Take a protest back."""

    protest: str


class RuleProtest(Command, frozen=True, kw_only=True):
    """Uphold or deny a protest."""

    protest: str
    verdict: Verdict
    reason: TextRef
