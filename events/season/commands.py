"""What may be asked of a season."""

from datetime import date

from events.awards.rules import AwardRules
from events.envelope import Command, TextRef


class OpenSeason(Command, frozen=True, kw_only=True):
    """Open the season."""

    federation: str
    name: str
    first_day: date
    last_day: date


class DefineAward(Command, frozen=True, kw_only=True):
    """Define an award, or define it anew, then with a reason."""

    rules: AwardRules
    reason: TextRef | None = None


class DropAward(Command, frozen=True, kw_only=True):
    """Reckon an award no longer."""

    award: str
    reason: TextRef


class CountShow(Command, frozen=True, kw_only=True):
    """Let a show count."""

    show: str


class DropShow(Command, frozen=True, kw_only=True):
    """Let a show no longer count."""

    show: str
    reason: TextRef


class LeaveOutClass(Command, frozen=True, kw_only=True):
    """Leave one class of a counted show out."""

    class_id: str
    reason: TextRef


class PutClassBack(Command, frozen=True, kw_only=True):
    """Let a class that was left out count again."""

    class_id: str
    reason: TextRef


class EnrolMember(Command, frozen=True, kw_only=True):
    """Enrol a person or a horse from a day on."""

    member: str
    since: date


class StrikeOffMember(Command, frozen=True, kw_only=True):
    """Take back that somebody was enrolled."""

    member: str
    reason: TextRef
