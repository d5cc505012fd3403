"""What can happen to a season. The tags are names in storage: they never change."""

from datetime import date
from typing import Literal

import msgspec

from events.envelope import Event, TextRef

Carrier = Literal["horse", "rider", "pair"]
"""Who carries the points: the horse, the rider, or one horse with one rider."""

StandingTie = Literal["most_placings", "most_shows", "most_beaten", "highest_total"]
"""A step that parts equal points: most firsts, then seconds, and so on; most shows; most entries
beaten; the highest sum of scores."""


class PointsRef(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True
):
    """The points table that an award counts by; its content is kept once under the digest."""

    id: str
    edition: str
    digest: str


class Category(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True
):
    """Which classes count together: those under any of the rule books, in any of the divisions.

    An empty list of rule books leaves that side open. With divisions, what counts is the placing
    among the entries of each of them; without, the placing of the whole class. A result counts in
    the first category that takes it.
    """

    name: str
    rulebooks: tuple[str, ...] = ()
    divisions: tuple[str, ...] = ()


class AwardRules(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True
):
    """How an award of the season is reckoned.

    ``best_of`` counts only that many best results of each category, all when ``None``. An award
    over several categories is an all-around; ``minimum_categories`` is in how many of them points
    must have been earned. ``minimum_shows`` and ``minimum_judges`` are at how many shows, and
    under how many different judges, a carrier was shown at least. With ``members_only`` a result
    counts for those who belonged to the season on its day: horse and rider both, where the pair
    carries the points.
    """

    award: str
    name: str
    carrier: Carrier
    points: PointsRef
    categories: tuple[Category, ...]
    best_of: int | None = None
    minimum_shows: int = 0
    minimum_judges: int = 0
    minimum_categories: int = 0
    members_only: bool = False
    ties: tuple[StandingTie, ...] = ()


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
