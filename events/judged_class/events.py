"""What can happen in a class. The tags are names in storage: they never change."""

from datetime import date
from typing import Literal

import msgspec

from events.envelope import Event, Moment, TextRef
from events.half_points import HalfPoints
from events.rulebook.model import OutcomeKind, RuleBookRef

SeatKind = Literal["judge", "learner"]
OrderBy = Literal["rail_work", "run_off", "judges_decision"]
GateOutcome = Literal["missed_gate", "excused"]
Authority = Literal["judge", "office_error", "ruling"]
"""On whose word a correction rests: the judge's own, a recorded error of the office, a ruling."""
Verdict = Literal["upheld", "denied"]


class BasisLine(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True
):
    """What one entry stood at when a judge put entries in order."""

    entry: str
    total: HalfPoints | None = None
    outcome: OutcomeKind | None = None


class ClassScheduled(Event, frozen=True, kw_only=True, tag="class.scheduled"):
    """A class was put on a show's schedule, under a rule book."""

    show: str
    name: str
    rulebook: RuleBookRef
    number: int | None = None
    ring: str | None = None
    day: date | None = None


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
    """An exhibitor and a horse were entered under a back number."""

    entry: str
    back_number: int
    exhibitor: str
    horse: str | None = None


class EntryScratched(Event, frozen=True, kw_only=True, tag="class.entry_scratched"):
    """An entry was taken out before it was judged; it no longer counts in the class size."""

    entry: str
    reason: TextRef | None = None


class DrawSet(Event, frozen=True, kw_only=True, tag="class.draw_set"):
    """The working order was set; working-order number 1 is the first entry named."""

    order: tuple[str, ...]
    seed: str | None = None


class DrawRepaired(Event, frozen=True, kw_only=True, tag="class.draw_repaired"):
    """The working order was changed, for a reason."""

    order: tuple[str, ...]
    reason: TextRef


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


class MarkGiven(Event, frozen=True, kw_only=True, tag="card.mark_given"):
    """A maneuver was marked; ``performed`` names the lesser way it was done in, if it was."""

    seat: str
    entry: str
    maneuver: int
    mark: HalfPoints
    performed: str | None = None


class PenaltyCalled(Event, frozen=True, kw_only=True, tag="card.penalty_called"):
    """One occurrence of a fault was penalised; ``call`` names this occurrence."""

    seat: str
    entry: str
    call: str
    points: HalfPoints
    code: str | None = None
    maneuver: int | None = None


class PenaltyWithdrawn(Event, frozen=True, kw_only=True, tag="card.penalty_withdrawn"):
    """The judge took one penalty back before signing."""

    seat: str
    entry: str
    call: str


class RiderMarkGiven(Event, frozen=True, kw_only=True, tag="card.rider_mark_given"):
    """The rider's own mark was given, such as form and effectiveness."""

    seat: str
    entry: str
    mark: HalfPoints


class OutcomeCalled(Event, frozen=True, kw_only=True, tag="card.outcome_called"):
    """The ride was called something other than a normal score."""

    seat: str
    entry: str
    kind: OutcomeKind
    maneuver: int | None = None
    reason: TextRef | None = None


class OutcomeLifted(Event, frozen=True, kw_only=True, tag="card.outcome_lifted"):
    """The judge took the outcome back before signing."""

    seat: str
    entry: str


class FaultObserved(Event, frozen=True, kw_only=True, tag="card.observed"):
    """A fault of position or performance was noted; it costs nothing by itself."""

    seat: str
    entry: str
    observation: str
    code: str
    maneuver: int | None = None
    note: TextRef | None = None


class CardSigned(Event, frozen=True, kw_only=True, tag="card.signed"):
    """The judge signed the card: from here on its facts change only by correction."""

    seat: str


class CardReopened(Event, frozen=True, kw_only=True, tag="card.reopened"):
    """A signed card was given back to its judge before results were posted."""

    seat: str
    reason: TextRef


class OrderSet(Event, frozen=True, kw_only=True, tag="rail.order_set"):
    """A judge put entries in order, best first, on the basis of what they then stood at.

    ``by`` says what settled it: the rail work, a run-off, or the judge's decision.
    """

    seat: str
    order_id: str
    by: OrderBy
    order: tuple[str, ...]
    basis: tuple[BasisLine, ...]
    reason: TextRef | None = None


class OrderConfirmed(Event, frozen=True, kw_only=True, tag="rail.order_confirmed"):
    """A judge let an order stand although what it rested on had moved."""

    seat: str
    order_id: str
    basis: tuple[BasisLine, ...]


class OrderWithdrawn(Event, frozen=True, kw_only=True, tag="rail.order_withdrawn"):
    """A judge took an order back."""

    seat: str
    order_id: str


CardFact = MarkGiven | PenaltyCalled | RiderMarkGiven | OutcomeCalled | FaultObserved
"""What may stand on a card for one ride, and so be put right by a correction."""


class CorrectionMade(Event, frozen=True, kw_only=True, tag="correction.made"):
    """One earlier fact of a signed card was replaced by another, or by nothing.

    ``replaces`` is the version of the event that put the fact there; ``None`` when a fact that had
    been left out is added.
    """

    correction: str
    seat: str
    entry: str
    authority: Authority
    reason: TextRef
    replaces: int | None = None
    fact: CardFact | None = None
    protest: str | None = None


RideEvent = CardFact | PenaltyWithdrawn | OutcomeLifted | CorrectionMade
"""What changes one ride on one card."""


class ResultsPosted(Event, frozen=True, kw_only=True, tag="results.posted"):
    """Results were posted; each posting has the next revision number.

    ``protests_until`` is when the rule book's time for protests runs out, if it sets one.
    """

    revision: int
    protests_until: Moment | None = None


class ResultsMadeOfficial(Event, frozen=True, kw_only=True, tag="results.made_official"):
    """The posted results became official."""

    revision: int


class ResultsReopened(Event, frozen=True, kw_only=True, tag="results.reopened"):
    """Official results were opened again, by a ruling or for an error of the office."""

    authority: Authority
    reason: TextRef
    protest: str | None = None


class ProtestFiled(Event, frozen=True, kw_only=True, tag="protest.filed"):
    """A protest was taken in, on a ground that the rule book lets be protested.

    It is against the class, or narrowed to an entry, a seat, or certain events by version.
    """

    protest: str
    filed_by: str
    ground: str
    statement: TextRef
    entry: str | None = None
    seat: str | None = None
    versions: tuple[int, ...] = ()
    fee_paid: bool = False


class ProtestWithdrawn(Event, frozen=True, kw_only=True, tag="protest.withdrawn"):
    """Whoever filed the protest took it back before a ruling."""

    protest: str


class ProtestRuled(Event, frozen=True, kw_only=True, tag="protest.ruled"):
    """The steward upheld or denied a protest, with reasons."""

    protest: str
    verdict: Verdict
    reason: TextRef
    fee_returned: bool = False


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
    | MarkGiven
    | PenaltyCalled
    | PenaltyWithdrawn
    | RiderMarkGiven
    | OutcomeCalled
    | OutcomeLifted
    | FaultObserved
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
)
