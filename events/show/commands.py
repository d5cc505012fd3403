"""What may be asked of a show."""

from datetime import date, time

from events.awards.rules import AwardRules
from events.envelope import Command, TextRef
from events.rulebook.model import RuleBookRef
from events.show.division import DivisionTerms
from events.show.events import OfficialRole, SettledBy, TieBasis


class PlanShow(Command, frozen=True, kw_only=True):
    """Plan the show, or plan it anew before it has begun."""

    name: str
    place: str
    time_zone: str
    first_day: date
    last_day: date


class AddRing(Command, frozen=True, kw_only=True):
    """Add a ring."""

    ring: str


class NameOfficial(Command, frozen=True, kw_only=True):
    """Give a person of the registry a task."""

    official: str
    role: OfficialRole


class AdoptRuleBook(Command, frozen=True, kw_only=True):
    """Let classes be held under a rule book."""

    rulebook: RuleBookRef


class SlotClass(Command, frozen=True, kw_only=True):
    """Give a class its turn in a ring."""

    class_id: str
    ring: str
    day: date
    slot: int
    not_before: time | None = None
    seconds_a_ride: int = 240


class GiveBackNumber(Command, frozen=True, kw_only=True):
    """Give a back number for the whole show."""

    number: int
    exhibitor: str
    horse: str | None = None


class TakeBackNumber(Command, frozen=True, kw_only=True):
    """Take a back number out of use."""

    number: int
    reason: TextRef


class SetDeadlines(Command, frozen=True, kw_only=True):
    """Say until when the office takes changes, in minutes before a class starts."""

    late_entry: int
    scratch: int
    horse_change: int


class DefineDivision(Command, frozen=True, kw_only=True):
    """Say what a division asks; of one that is defined already, for a reason."""

    division: str
    terms: DivisionTerms
    reason: TextRef | None = None


class DropDivision(Command, frozen=True, kw_only=True):
    """Have a division no longer."""

    division: str
    reason: TextRef


class SetClassDivisions(Command, frozen=True, kw_only=True):
    """Say which divisions a class has, and which of them everybody in it is eligible for."""

    class_id: str
    admits: tuple[str, ...] = ()
    requires: tuple[str, ...] = ()
    must_name: bool = False


class RecordEvidence(Command, frozen=True, kw_only=True):
    """Record what was seen instead of what the registry should hold, of a rider or of a horse."""

    division: str
    reason: TextRef
    exhibitor: str | None = None
    horse: str | None = None


class TakeEvidenceBack(Command, frozen=True, kw_only=True):
    """Let what was recorded as evidence count no longer."""

    division: str
    reason: TextRef
    exhibitor: str | None = None
    horse: str | None = None


class DefineAward(Command, frozen=True, kw_only=True):
    """Define an award of the show, or define it anew, then with a reason."""

    rules: AwardRules
    reason: TextRef | None = None


class DropAward(Command, frozen=True, kw_only=True):
    """Reckon an award of the show no longer."""

    award: str
    reason: TextRef


class SettleTie(Command, frozen=True, kw_only=True):
    """Record how a tie of an award was settled, best first; by lots in the order of their lots.

    ``basis`` is what those who tie stand at.
    """

    award: str
    order: tuple[str, ...]
    by: SettledBy
    basis: tuple[TieBasis, ...]
    seed: str | None = None
    reason: TextRef | None = None


class WithdrawSettlement(Command, frozen=True, kw_only=True):
    """Take back what settled a tie: the event of this version of the show."""

    award: str
    settlement: int
    reason: TextRef
