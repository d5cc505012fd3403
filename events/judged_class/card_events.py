"""What can come to stand on a judge's card. The tags are names in storage: they never change."""

from typing import Literal

import msgspec

from events.envelope import Event, TextRef
from events.half_points import HalfPoints
from events.rulebook.model import OutcomeKind

OrderBy = Literal["rail_work", "run_off", "judges_decision"]
Authority = Literal["judge", "office_error", "ruling"]
"""On whose word a correction rests: the judge's own, a recorded error of the office, a ruling."""


class BasisLine(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True
):
    """What one entry stood at when a judge put entries in order; its time in a timed class."""

    entry: str
    total: HalfPoints | None = None
    outcome: OutcomeKind | None = None
    milliseconds: int | None = None


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


class MarkWithdrawn(Event, frozen=True, kw_only=True, tag="card.mark_withdrawn"):
    """The mark of a maneuver was taken back before signing, and none stands in its place."""

    seat: str
    entry: str
    maneuver: int


class RiderMarkWithdrawn(Event, frozen=True, kw_only=True, tag="card.rider_mark_withdrawn"):
    """The rider's own mark was taken back before signing."""

    seat: str
    entry: str


class TimeWithdrawn(Event, frozen=True, kw_only=True, tag="card.time_withdrawn"):
    """A ride's time was taken back before signing."""

    seat: str
    entry: str


class ObservationWithdrawn(Event, frozen=True, kw_only=True, tag="card.observation_withdrawn"):
    """One noted fault was taken back before signing."""

    seat: str
    entry: str
    observation: str


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

    ``by`` says what settled it: the rail work, a run-off, or the judge's decision. Once results had
    been official, ``authority`` says on whose word, and ``protest`` on which ruling.
    """

    seat: str
    order_id: str
    by: OrderBy
    order: tuple[str, ...]
    basis: tuple[BasisLine, ...]
    reason: TextRef | None = None
    authority: Authority | None = None
    protest: str | None = None


class OrderConfirmed(Event, frozen=True, kw_only=True, tag="rail.order_confirmed"):
    """A judge let an order stand although what it rested on had moved."""

    seat: str
    order_id: str
    basis: tuple[BasisLine, ...]


class OrderWithdrawn(Event, frozen=True, kw_only=True, tag="rail.order_withdrawn"):
    """A judge took an order back."""

    seat: str
    order_id: str


class TimeGiven(Event, frozen=True, kw_only=True, tag="card.time_given"):
    """A ride was timed, in milliseconds; penalty time is kept apart and counts with it."""

    seat: str
    entry: str
    milliseconds: int
    penalty_milliseconds: int = 0


class CardPlaced(Event, frozen=True, kw_only=True, tag="card.placed"):
    """A judge placed entries without scores, best first; those left out take no place."""

    seat: str
    order: tuple[str, ...]
    reason: TextRef | None = None
    authority: Authority | None = None
    protest: str | None = None


class CardCalledBack(Event, frozen=True, kw_only=True, tag="card.called_back"):
    """A judge named the entries to see again in the next round, in no order."""

    seat: str
    entries: tuple[str, ...]


CardFact = MarkGiven | PenaltyCalled | RiderMarkGiven | OutcomeCalled | FaultObserved | TimeGiven
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


TakenBack = (
    MarkWithdrawn
    | PenaltyWithdrawn
    | RiderMarkWithdrawn
    | OutcomeLifted
    | ObservationWithdrawn
    | TimeWithdrawn
)
"""What takes a fact off a card before signing."""

RideEvent = CardFact | TakenBack | CorrectionMade
"""What changes one ride on one card."""
