"""What can happen in a class. The tags are names in storage: they never change."""

from datetime import date
from typing import Literal

import msgspec

from events.envelope import Event, TextRef
from events.half_points import HalfPoints
from events.judged_class.card_events import (
    Authority,
    BasisLine,
    CardCalledBack,
    CardFact,
    CardPlaced,
    CardReopened,
    CardSigned,
    CorrectionMade,
    FaultObserved,
    MarkGiven,
    MarkWithdrawn,
    ObservationWithdrawn,
    OrderBy,
    OrderConfirmed,
    OrderSet,
    OrderWithdrawn,
    OutcomeCalled,
    OutcomeLifted,
    PenaltyCalled,
    PenaltyWithdrawn,
    RideEvent,
    RiderMarkGiven,
    RiderMarkWithdrawn,
    TakenBack,
    TimeGiven,
    TimeWithdrawn,
)
from events.judged_class.change_events import (
    CancellationLifted,
    CarriedTotalSet,
    ClassCancelled,
    ClassCombined,
    ClassRescheduled,
    CombinedInto,
    EntryReadmitted,
    EntryReinstated,
    JudgeReplaced,
    JudgeUnseated,
    PanelChanged,
    SeatClosed,
)
from events.judged_class.prize_events import (
    PrizeAwarded,
    PrizeMoneyAwarded,
    PrizeMoneyWithdrawn,
    PrizeSchedule,
)
from events.judged_class.result_events import (
    ProtestFiled,
    ProtestRuled,
    ProtestWithdrawn,
    ResultsMadeOfficial,
    ResultsPosted,
    ResultsReopened,
    Verdict,
)
from events.rulebook.model import PanelChoice, RuleBookRef

__all__ = [
    "Authority",
    "BasisLine",
    "CancellationLifted",
    "CardCalledBack",
    "CardFact",
    "CardPlaced",
    "CardReopened",
    "CardSigned",
    "CarriedTotalSet",
    "ClassCancelled",
    "ClassCombined",
    "ClassEvent",
    "ClassRescheduled",
    "ClassRound",
    "ClassScheduled",
    "CombinedInto",
    "ContestCutsSet",
    "CorrectionMade",
    "CutMade",
    "DrawRepaired",
    "DrawSet",
    "EntryAccepted",
    "EntryCalled",
    "EntryExcused",
    "EntryMissedGate",
    "EntryOutOfOrder",
    "EntryReadmitted",
    "EntryReinstated",
    "EntryScratched",
    "FaultObserved",
    "HorseChanged",
    "JudgeReplaced",
    "JudgeSeated",
    "JudgeUnseated",
    "MarkGiven",
    "MarkWithdrawn",
    "ObservationWithdrawn",
    "OrderBy",
    "OrderConfirmed",
    "OrderSet",
    "OrderWithdrawn",
    "OutcomeCalled",
    "OutcomeLifted",
    "PanelChanged",
    "PatternSet",
    "PenaltyCalled",
    "PenaltyWithdrawn",
    "PrizeAwarded",
    "PrizeMoneyAwarded",
    "PrizeMoneyWithdrawn",
    "PrizeSchedule",
    "ProtestFiled",
    "ProtestRuled",
    "ProtestWithdrawn",
    "RerideGranted",
    "ResultsMadeOfficial",
    "ResultsPosted",
    "ResultsReopened",
    "RideEvent",
    "RiderMarkGiven",
    "RiderMarkWithdrawn",
    "RoundKind",
    "RunOffHeld",
    "SeatClosed",
    "SeatKind",
    "TakenBack",
    "TimeGiven",
    "TimeWithdrawn",
    "Verdict",
]

SeatKind = Literal["judge", "learner"]
RoundKind = Literal["preliminary", "go_round", "semi_final", "final"]


class ClassRound(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True
):
    """Which round of a larger class this one is, and the class whose round came before.

    With ``carries`` the totals of the round before are carried into this one; else it starts fresh.
    """

    kind: RoundKind
    after: str | None = None
    carries: bool = False


class ClassScheduled(Event, frozen=True, kw_only=True, tag="class.scheduled"):
    """A class was put on a show's schedule, under a rule book."""

    show: str
    name: str
    rulebook: RuleBookRef
    number: int | None = None
    ring: str | None = None
    day: date | None = None
    panel: PanelChoice | None = None
    round: ClassRound | None = None


class PatternSet(Event, frozen=True, kw_only=True, tag="class.pattern_set"):
    """The pattern was set: its maneuvers, numbered from 1 in the order given."""

    maneuvers: tuple[str, ...]
    name: str | None = None


class JudgeSeated(Event, frozen=True, kw_only=True, tag="class.judge_seated"):
    """A judge, or somebody learning to judge, took a seat of the panel."""

    seat: str
    judge: str
    kind: SeatKind = "judge"


class EntryAccepted(Event, frozen=True, kw_only=True, tag="class.entry_accepted"):
    """An exhibitor and a horse were entered under a back number.

    ``divisions`` are those in which the one ride is placed besides the class as a whole;
    ``carried`` is the total brought from the round before; ``late`` says that it came after the
    time for entries; ``checked_at`` is the version of the show by whose divisions it was checked.
    """

    entry: str
    back_number: int
    exhibitor: str
    horse: str | None = None
    divisions: tuple[str, ...] = ()
    carried: HalfPoints | None = None
    late: bool = False
    checked_at: int | None = None


class EntryScratched(Event, frozen=True, kw_only=True, tag="class.entry_scratched"):
    """An entry was taken out before it was judged; it no longer counts in the class size."""

    entry: str
    reason: TextRef | None = None


class DrawSet(Event, frozen=True, kw_only=True, tag="class.draw_set"):
    """The working order was set; working-order number 1 is the first entry named.

    ``sections`` are how many of the order ride in each section, one section after another; there
    are none where the class is ridden as one. Numbers run on from one section to the next.
    """

    order: tuple[str, ...]
    seed: str | None = None
    sections: tuple[int, ...] = ()


class DrawRepaired(Event, frozen=True, kw_only=True, tag="class.draw_repaired"):
    """The working order was changed, for a reason; ``sections`` as they are from now on."""

    order: tuple[str, ...]
    reason: TextRef
    sections: tuple[int, ...] = ()


class EntryCalled(Event, frozen=True, kw_only=True, tag="class.entry_called"):
    """An entry was called to the gate."""

    entry: str
    call: int


class EntryMissedGate(Event, frozen=True, kw_only=True, tag="class.entry_missed_gate"):
    """An entry did not come when it was called."""

    entry: str


class EntryExcused(Event, frozen=True, kw_only=True, tag="class.entry_excused"):
    """An entry was let out of the class, or sent out of it, by an official."""

    entry: str
    reason: TextRef | None = None


class EntryOutOfOrder(Event, frozen=True, kw_only=True, tag="class.entry_out_of_order"):
    """An entry rode when it was another's turn; what becomes of it is for the judge to call."""

    entry: str


class RerideGranted(Event, frozen=True, kw_only=True, tag="class.reride_granted"):
    """An entry rides again: what stood on the cards for its first ride no longer counts."""

    entry: str
    reason: TextRef


class HorseChanged(Event, frozen=True, kw_only=True, tag="class.horse_changed"):
    """An exhibitor rides another horse than entered; ``checked_at`` as of an entry."""

    entry: str
    horse: str
    reason: TextRef | None = None
    checked_at: int | None = None


class RunOffHeld(Event, frozen=True, kw_only=True, tag="class.run_off_held"):
    """Entries that the panel left equal rode off, best first, or declined to.

    When all declined they share the title, and ``award_to`` won the toss for the award.
    """

    order: tuple[str, ...] = ()
    declined: tuple[str, ...] = ()
    award_to: str | None = None


class ContestCutsSet(Event, frozen=True, kw_only=True, tag="class.contest_cuts_set"):
    """An official set how much lies between neighbouring places, for learners to be scored by."""

    cuts: tuple[int, ...]


class CutMade(Event, frozen=True, kw_only=True, tag="class.cut_made"):
    """The entries that go on to the next round, best first; ``tied_out`` were left out at a tie.

    With ``per_section`` they are the best of each section in turn, ``size`` from each.
    """

    size: int
    qualified: tuple[str, ...]
    tied_out: tuple[str, ...] = ()
    per_section: bool = False


ClassEvent = (
    ClassScheduled
    | PatternSet
    | JudgeSeated
    | EntryAccepted
    | EntryScratched
    | DrawSet
    | DrawRepaired
    | EntryCalled
    | EntryMissedGate
    | EntryExcused
    | EntryOutOfOrder
    | EntryReadmitted
    | EntryReinstated
    | ClassCancelled
    | CancellationLifted
    | ClassCombined
    | CombinedInto
    | ClassRescheduled
    | PanelChanged
    | JudgeUnseated
    | JudgeReplaced
    | SeatClosed
    | CarriedTotalSet
    | RerideGranted
    | HorseChanged
    | RunOffHeld
    | CutMade
    | ContestCutsSet
    | MarkGiven
    | MarkWithdrawn
    | PenaltyCalled
    | PenaltyWithdrawn
    | RiderMarkGiven
    | RiderMarkWithdrawn
    | OutcomeCalled
    | OutcomeLifted
    | FaultObserved
    | ObservationWithdrawn
    | TimeGiven
    | TimeWithdrawn
    | CardPlaced
    | CardCalledBack
    | CardSigned
    | CardReopened
    | OrderSet
    | OrderConfirmed
    | OrderWithdrawn
    | CorrectionMade
    | ResultsPosted
    | ResultsMadeOfficial
    | ResultsReopened
    | ProtestFiled
    | ProtestWithdrawn
    | ProtestRuled
    | PrizeMoneyAwarded
    | PrizeMoneyWithdrawn
)
