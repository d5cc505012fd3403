"""What can happen to a show. The tags are names in storage: they never change."""

from datetime import date, time
from typing import Literal

import msgspec

from events.awards.rules import AwardRules
from events.envelope import Event, TextRef
from events.rulebook.model import RuleBookRef
from events.show.division import DivisionTerms

SettledBy = Literal["coin", "lots"]
OfficialRole = Literal["judge", "learner", "steward", "scribe", "show_secretary", "ring_steward"]


class ShowPlanned(Event, frozen=True, kw_only=True, tag="show.planned"):
    """A show was planned for certain days at a place; its clocks show ``time_zone`` (IANA)."""

    name: str
    place: str
    time_zone: str
    first_day: date
    last_day: date


class RingAdded(Event, frozen=True, kw_only=True, tag="show.ring_added"):
    """The show has one more ring to hold classes in."""

    ring: str


class OfficialNamed(Event, frozen=True, kw_only=True, tag="show.official_named"):
    """A person was given a task at the show; who it is stands in the registry."""

    official: str
    role: OfficialRole


class RuleBookAdopted(Event, frozen=True, kw_only=True, tag="show.rulebook_adopted"):
    """The show may hold classes under this rule book."""

    rulebook: RuleBookRef


class ClassSlotted(Event, frozen=True, kw_only=True, tag="show.class_slotted"):
    """A class was given its turn in a ring on a day, or given another.

    ``slot`` orders the classes of a ring and day. ``not_before`` is the earliest time it starts,
    on the show's clock; without it the class follows the one before. ``seconds_a_ride`` is what is
    reckoned with until rides of the class itself say better.
    """

    class_id: str
    ring: str
    day: date
    slot: int
    not_before: time | None = None
    seconds_a_ride: int = 240


class BackNumberGiven(Event, frozen=True, kw_only=True, tag="show.back_number_given"):
    """A back number was given for the whole show to an exhibitor, alone or with one horse."""

    number: int
    exhibitor: str
    horse: str | None = None


class BackNumberTakenBack(Event, frozen=True, kw_only=True, tag="show.back_number_taken_back"):
    """A back number belongs to nobody any more; it is not given to anybody else."""

    number: int
    reason: TextRef


class DeadlinesSet(Event, frozen=True, kw_only=True, tag="show.deadlines_set"):
    """Until how many minutes before a class starts the office takes changes; 0: until it starts."""

    late_entry: int
    scratch: int
    horse_change: int


class DivisionDefined(Event, frozen=True, kw_only=True, tag="show.division_defined"):
    """The show said what one of its divisions asks, or, for a reason, what it asks from now on."""

    division: str
    terms: DivisionTerms
    reason: TextRef | None = None


class DivisionDropped(Event, frozen=True, kw_only=True, tag="show.division_dropped"):
    """The show has that division no longer."""

    division: str
    reason: TextRef


class ClassDivisionsSet(Event, frozen=True, kw_only=True, tag="show.class_divisions_set"):
    """It was said which divisions a class has.

    ``admits`` are those that an entry may be placed in (all of the show's where none is named);
    with ``must_name`` every entry is in at least one. ``requires`` are those whose terms everybody
    in the class meets.
    """

    class_id: str
    admits: tuple[str, ...] = ()
    requires: tuple[str, ...] = ()
    must_name: bool = False


class EvidenceSeen(Event, frozen=True, kw_only=True, tag="show.evidence_seen"):
    """An official saw evidence that a rider, or a horse, meets what a division asks.

    It stands in for facts that the registry does not hold, never against those that it holds, and
    counts until the division asks something else.
    """

    division: str
    reason: TextRef
    exhibitor: str | None = None
    horse: str | None = None


class EvidenceTakenBack(Event, frozen=True, kw_only=True, tag="show.evidence_taken_back"):
    """What had been taken for evidence is none any more."""

    division: str
    reason: TextRef
    exhibitor: str | None = None
    horse: str | None = None


class ShowAwardDefined(Event, frozen=True, kw_only=True, tag="show.award_defined"):
    """An award over classes of the show was defined, or defined anew from here on."""

    rules: AwardRules
    reason: TextRef | None = None


class ShowAwardDropped(Event, frozen=True, kw_only=True, tag="show.award_dropped"):
    """An award of the show is no longer reckoned, and what settled its ties is forgotten."""

    award: str
    reason: TextRef


class TieBasis(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What somebody stood at when a tie was settled; points exactly, such as ``23/2``."""

    carrier: str
    points: str


class AwardTieSettled(Event, frozen=True, kw_only=True, tag="show.award_tie_settled"):
    """A tie of an award that none of its steps parts was settled, best first.

    ``lots`` are drawn again by anybody from the recorded ``seed``.
    """

    award: str
    order: tuple[str, ...]
    by: SettledBy
    basis: tuple[TieBasis, ...]
    seed: str | None = None
    reason: TextRef | None = None


class AwardSettlementWithdrawn(
    Event, frozen=True, kw_only=True, tag="show.award_settlement_withdrawn"
):
    """The settlement that an event of this show recorded no longer counts."""

    award: str
    settlement: int
    reason: TextRef


ShowEvent = (
    ShowPlanned
    | RingAdded
    | OfficialNamed
    | RuleBookAdopted
    | ClassSlotted
    | BackNumberGiven
    | BackNumberTakenBack
    | DeadlinesSet
    | DivisionDefined
    | DivisionDropped
    | ClassDivisionsSet
    | EvidenceSeen
    | EvidenceTakenBack
    | ShowAwardDefined
    | ShowAwardDropped
    | AwardTieSettled
    | AwardSettlementWithdrawn
)
