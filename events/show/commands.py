"""What may be asked of a show."""

from datetime import date

from events.envelope import Command
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
