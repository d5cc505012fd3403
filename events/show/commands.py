"""What may be asked of a show."""

from datetime import date, time

from events.envelope import Command, TextRef
from events.rulebook.model import RuleBookRef
from events.show.events import OfficialRole


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
