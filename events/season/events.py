"""What can happen to a season. The tags are names in storage: they never change."""

from datetime import date

from events.awards.rules import AwardRules
from events.envelope import Event, TextRef


class SeasonOpened(Event, frozen=True, kw_only=True, tag="season.opened"):
    """A federation opened a season over certain days."""

    federation: str
    name: str
    first_day: date
    last_day: date


class AwardDefined(Event, frozen=True, kw_only=True, tag="season.award_defined"):
    """An award was defined, or defined anew from here on."""

    rules: AwardRules
    reason: TextRef | None = None


class AwardDropped(Event, frozen=True, kw_only=True, tag="season.award_dropped"):
    """An award is no longer reckoned."""

    award: str
    reason: TextRef


class ShowCounted(Event, frozen=True, kw_only=True, tag="season.show_counted"):
    """The results of a show count in the season."""

    show: str


class ShowDropped(Event, frozen=True, kw_only=True, tag="season.show_dropped"):
    """The results of a show no longer count."""

    show: str
    reason: TextRef


class ClassLeftOut(Event, frozen=True, kw_only=True, tag="season.class_left_out"):
    """One class of a counted show does not count."""

    class_id: str
    reason: TextRef


class ClassPutBack(Event, frozen=True, kw_only=True, tag="season.class_put_back"):
    """A class that was left out counts again."""

    class_id: str
    reason: TextRef


class MemberEnrolled(Event, frozen=True, kw_only=True, tag="season.member_enrolled"):
    """A person or a horse belongs to the season from a day on."""

    member: str
    since: date


class MemberStruckOff(Event, frozen=True, kw_only=True, tag="season.member_struck_off"):
    """A person or a horse was enrolled by mistake, and never belonged to the season."""

    member: str
    reason: TextRef


SeasonEvent = (
    SeasonOpened
    | AwardDefined
    | AwardDropped
    | ShowCounted
    | ShowDropped
    | ClassLeftOut
    | ClassPutBack
    | MemberEnrolled
    | MemberStruckOff
)
