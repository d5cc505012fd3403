"""What is known of a rider and a horse beside the log, and what it comes to on a day."""

from collections.abc import Iterable
from datetime import date
from typing import Literal

import msgspec

from events.show.division import NEW_YEAR, HorseAge, HorseSex, MonthDay, month_day_in

Hemisphere = Literal["northern", "southern"]


class LevelHeld(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True
):
    """A level held from a day on until the next, in one discipline or in all of them."""

    level: str
    since: date
    discipline: str | None = None


class Membership(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True
):
    """A membership of a body; its first and its last day count, and what is ``None`` is open."""

    body: str
    number: str | None = None
    since: date | None = None
    until: date | None = None

    def covers(self, day: date) -> bool:
        """Whether it is in force on a day."""
        return (self.since or day) <= day <= (self.until or day)


class RiderFacts(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True
):
    """What is known of a rider."""

    born: date | None = None
    levels: tuple[LevelHeld, ...] = ()
    memberships: tuple[Membership, ...] = ()


class HorseFacts(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True
):
    """What is known of a horse; ``foaled_year`` stands where the day is not known."""

    foaled: date | None = None
    foaled_year: int | None = None
    foaled_in: Hemisphere | None = None
    sex: HorseSex | None = None
    levels: tuple[LevelHeld, ...] = ()


FoalingFact = Literal["foaled", "foaled_year", "foaled_in"]


def full_years(born: date, on: date) -> int:
    """Whole years from a day to a later one, 0 before it.

    Whoever was born on 29 February is a year older on 1 March of a common year.
    """
    before_birthday = (on.month, on.day) < (born.month, born.day)
    return max(0, on.year - born.year - before_birthday)


def breeding_years(foaled: date, on: date, year_begins: MonthDay) -> int:
    """How often the breeding year has begun anew between foaling and a later day, 0 before it."""
    return max(0, _breeding_year(on, year_begins) - _breeding_year(foaled, year_begins))


def _breeding_year(day: date, year_begins: MonthDay) -> int:
    return day.year - (day < month_day_in(year_begins, day.year))


def age_of_horse(limits: HorseAge, facts: HorseFacts, on: date) -> int | FoalingFact:
    """The horse's age as the division counts it, or the fact that it cannot be told without."""
    begins = limits.year_begins
    if begins is None:
        return "foaled" if facts.foaled is None else full_years(facts.foaled, on)
    if limits.southern_year_begins is not None:
        if facts.foaled_in is None:
            return "foaled_in"
        if facts.foaled_in == "southern":
            begins = limits.southern_year_begins
    if facts.foaled is not None:
        return breeding_years(facts.foaled, on, begins)
    if begins != NEW_YEAR:  # the year alone does not say on which side of that day it was foaled
        return "foaled"
    if facts.foaled_year is None:
        return "foaled_year"
    return breeding_years(date(facts.foaled_year, 1, 1), on, begins)


def level_on(held: Iterable[LevelHeld], discipline: str | None, on: date) -> str | None:
    """The level held on a day in a discipline, else the one held in all of them, if any."""
    begun = sorted((each for each in held if each.since <= on), key=lambda each: each.since)
    general = [each.level for each in begun if each.discipline is None]
    own = [each.level for each in begun if same(each.discipline, discipline)]
    if own:
        return own[-1]
    return general[-1] if general else None


def same(one: str | None, other: str | None) -> bool:
    """Whether two names are written alike but for capitals and the spaces round them."""
    return (one or "").strip().casefold() == (other or "").strip().casefold()
