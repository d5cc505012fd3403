"""What may be asked of a class. Ids that must not repeat are chosen by whoever asks."""

from datetime import date

from events.envelope import Command, TextRef
from events.half_points import HalfPoints
from events.judged_class.card_commands import (
    CallBack,
    CallOutcome,
    CallPenalty,
    ConfirmOrder,
    FactCommand,
    GiveMark,
    GiveRiderMark,
    GiveTime,
    LiftOutcome,
    MakeCorrection,
    ObserveFault,
    PlaceCard,
    ReopenCard,
    SetOrder,
    SignCard,
    WithdrawMark,
    WithdrawObservation,
    WithdrawOrder,
    WithdrawPenalty,
    WithdrawRiderMark,
    WithdrawTime,
)
from events.judged_class.change_commands import (
    CancelClass,
    ChangePanel,
    CloseSeat,
    CombineClass,
    CombineInto,
    LiftCancellation,
    ReadmitEntry,
    ReinstateEntry,
    ReplaceJudge,
    RescheduleClass,
    SetCarriedTotal,
    UnseatJudge,
)
from events.judged_class.events import (
    Authority,
    ClassRound,
    SeatKind,
    Verdict,
)
from events.judged_class.naming import EntryRef
from events.rulebook.model import PanelChoice, RuleBookRef
from events.scoring.payout import OddCents, Unfilled

__all__ = [
    "AcceptEntry",
    "AwardPrizeMoney",
    "CallBack",
    "CallEntry",
    "CallOutcome",
    "CallPenalty",
    "CancelClass",
    "ChangeHorse",
    "ChangePanel",
    "CloseSeat",
    "CombineClass",
    "CombineInto",
    "ConfirmOrder",
    "EntryRef",
    "ExcuseEntry",
    "FactCommand",
    "FileProtest",
    "GiveMark",
    "GiveRiderMark",
    "GiveTime",
    "GrantReride",
    "HoldRunOff",
    "LiftCancellation",
    "LiftOutcome",
    "MakeCorrection",
    "MakeCut",
    "MakeOfficial",
    "ObserveFault",
    "PlaceCard",
    "PostResults",
    "ReadmitEntry",
    "RecordMissedGate",
    "RecordOutOfOrder",
    "ReinstateEntry",
    "ReopenCard",
    "ReopenResults",
    "RepairDraw",
    "ReplaceJudge",
    "RescheduleClass",
    "RuleProtest",
    "ScheduleClass",
    "ScratchEntry",
    "SeatJudge",
    "SetCarriedTotal",
    "SetContestCuts",
    "SetDraw",
    "SetOrder",
    "SetPattern",
    "SignCard",
    "UnseatJudge",
    "WithdrawMark",
    "WithdrawObservation",
    "WithdrawOrder",
    "WithdrawPenalty",
    "WithdrawPrizeMoney",
    "WithdrawProtest",
    "WithdrawRiderMark",
    "WithdrawTime",
]


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
    """Set the working order by entry ids, before anyone has been judged.

    ``sections`` are how many ride in each section; ``None`` leaves everybody in the section that
    they are in, and ``()`` makes one class of them.
    """

    order: tuple[str, ...]
    seed: str | None = None
    sections: tuple[int, ...] | None = None


class RepairDraw(Command, frozen=True, kw_only=True):
    """Change the working order, for a reason; ``sections`` as when it is set."""

    order: tuple[str, ...]
    reason: TextRef
    sections: tuple[int, ...] | None = None


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
    """Send the first ``size`` entries on to the next round, with those tied at the cut or not.

    ``per_section`` takes that many from each section, instead of from all of them together.
    """

    size: int
    with_ties: bool = True
    per_section: bool = False


class SetContestCuts(Command, frozen=True, kw_only=True):
    """Set the cuts between neighbouring official places, best first, for learners' scores."""

    cuts: tuple[int, ...]


class PostResults(Command, frozen=True, kw_only=True):
    """Post the results as the next revision."""


class MakeOfficial(Command, frozen=True, kw_only=True):
    """Make the posted results official; before the time for protests is over, for a reason."""

    reason: TextRef | None = None


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


class AwardPrizeMoney(Command, frozen=True, kw_only=True):
    """Award a purse, in cents, by percentages of it for each place; anew only for a reason.

    ``seat``, ``division`` and ``section`` say whose placing it is for.
    """

    purse: int
    percentages: tuple[str, ...]
    odd_cents: OddCents = "kept"
    unfilled: Unfilled = "kept"
    seat: str | None = None
    division: str | None = None
    section: int | None = None
    reason: TextRef | None = None


class WithdrawPrizeMoney(Command, frozen=True, kw_only=True):
    """Take back a purse that was awarded."""

    reason: TextRef
    seat: str | None = None
    division: str | None = None
    section: int | None = None
