"""What can happen to a show. The tags are names in storage: they never change."""

from datetime import date
from typing import Literal

from events.envelope import Event
from events.rulebook.model import RuleBookRef

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


ShowEvent = ShowPlanned | RingAdded | OfficialNamed | RuleBookAdopted
