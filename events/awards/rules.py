"""How an award is reckoned, whether a season gives it or a show.

These shapes lie inside stored events: what is added to them is optional and has a default.
"""

from typing import Literal

import msgspec

Carrier = Literal["horse", "rider", "pair"]
"""Who carries the points: the horse, the rider, or one horse with one rider."""

StandingTie = Literal[
    "most_placings", "most_top_tens", "most_shows", "most_beaten", "highest_total"
]
"""A step that parts equal points: most firsts, then seconds, and so on; most places from first to
tenth; most shows; most entries beaten; the highest sum of scores."""


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

    An empty list of rule books leaves that side open, and so does one of ``classes``, by their ids.
    With divisions, what counts is the placing among the entries of each of them; without, the
    placing of the whole class. A result counts in the first category that takes it.

    ``champions`` are classes whose first two are grand and reserve champion of the category: they
    earn what the points table has for champions, and nothing for their place. ``weight`` is what
    part of the category's points counts, a number as text: ``1``, ``0.5`` or ``1/2``.
    """

    name: str
    rulebooks: tuple[str, ...] = ()
    divisions: tuple[str, ...] = ()
    classes: tuple[str, ...] = ()
    champions: tuple[str, ...] = ()
    weight: str = "1"


class AwardRules(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True
):
    """How an award is reckoned.

    ``best_of`` counts only that many best results of each category, all when ``None``. An award
    over several categories is an all-around; ``minimum_categories`` is in how many of them points
    must have been earned. ``minimum_shows``, ``minimum_classes`` and ``minimum_judges`` are at how
    many shows, in how many classes, and under how many different judges, a carrier was shown at
    least. With ``members_only`` a result counts for those who belonged to the season on its day:
    horse and rider both, where the pair carries the points. With ``eligible_divisions`` it counts
    for entries that ride in one of them, whatever placing it is.
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
    minimum_classes: int = 0
    eligible_divisions: tuple[str, ...] = ()
