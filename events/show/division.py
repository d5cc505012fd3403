"""What a division asks of a rider and a horse, and the days it is counted on."""

from datetime import date
from typing import Literal

import msgspec

from events.refusals import Refusal

DayKind = Literal["first_day", "same_year", "year_before", "given"]
HorseSex = Literal["mare", "gelding", "stallion"]
MonthDay = str
"""A day that comes every year, as ``"12-01"``: the month, then the day."""

_A_COMMON_YEAR = 2001
NEW_YEAR: MonthDay = "01-01"


class CountedOn(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True
):
    """A day that something is counted on, as seen from a show.

    It is the show's first day; or ``month_day`` in the year of that day, or in the year before; or
    the ``day`` that is given.
    """

    kind: DayKind = "first_day"
    month_day: MonthDay | None = None
    day: date | None = None


FIRST_DAY = CountedOn()


class AgeLimits(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True
):
    """The least and the greatest age of a rider, both still admitted, in whole years on a day."""

    lowest: int | None = None
    highest: int | None = None
    on: CountedOn = FIRST_DAY


class HorseAge(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True
):
    """The least and the greatest age of a horse, both still admitted, and how it is counted.

    A horse is a year older at every ``year_begins`` after its foaling, however soon the first comes
    (1 January is common practice); where that is ``None``, on every return of its foaling day.
    ``southern_year_begins`` is for horses foaled south of the equator, where it is another day.
    """

    lowest: int | None = None
    highest: int | None = None
    on: CountedOn = FIRST_DAY
    year_begins: MonthDay | None = NEW_YEAR
    southern_year_begins: MonthDay | None = None


class LevelsAdmitted(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True
):
    """The levels that are admitted, as held on a day, in one discipline or in all of them."""

    levels: tuple[str, ...]
    discipline: str | None = None
    on: CountedOn = FIRST_DAY


class DivisionTerms(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True
):
    """What a division asks; what is left out it does not ask. ``member_of`` names a body."""

    rider_age: AgeLimits | None = None
    rider_levels: LevelsAdmitted | None = None
    member_of: str | None = None
    horse_age: HorseAge | None = None
    horse_levels: LevelsAdmitted | None = None
    horse_sexes: tuple[HorseSex, ...] = ()


def day_counted(on: CountedOn, first_day: date) -> date:
    """The day that ``on`` names for a show that begins on ``first_day``."""
    if on.kind == "given" and on.day is not None:
        return on.day
    if on.kind in {"same_year", "year_before"} and on.month_day is not None:
        year = first_day.year - (on.kind == "year_before")
        return month_day_in(on.month_day, year)
    return first_day


def month_day_in(month_day: MonthDay, year: int) -> date:
    """That day of a year; ``ValueError`` where there is none."""
    return date.fromisoformat(f"{year:04}-{month_day}")


def check_terms(terms: DivisionTerms) -> None:
    """Refuse terms that say nothing clear, or that nobody could meet."""
    for name, age in (("rider_age", terms.rider_age), ("horse_age", terms.horse_age)):
        if age is not None:
            _check_limits(f"terms.{name}", age)
            _check_day(f"terms.{name}.on", age.on)
    if terms.horse_age is not None:
        _check_years("terms.horse_age", terms.horse_age)
    for name, held in (("rider_levels", terms.rider_levels), ("horse_levels", terms.horse_levels)):
        if held is not None:
            _check_levels(f"terms.{name}", held)
            _check_day(f"terms.{name}.on", held.on)
    if terms.member_of is not None and not terms.member_of.strip():
        raise Refusal("body_unnamed", "Name the body to be a member of.", field="terms.member_of")


def _check_limits(field: str, age: AgeLimits | HorseAge) -> None:
    if age.lowest is None and age.highest is None:
        raise Refusal(
            "age_without_limit", "An age has a lowest or a highest limit, or both.", field=field
        )
    if (age.lowest or 0) < 0 or (age.highest or 0) < 0:
        raise Refusal("age_negative", "Ages count from 0.", field=field)
    if age.lowest is not None and age.highest is not None and age.lowest > age.highest:
        raise Refusal(
            "ages_reversed",
            f"Nobody is at least {age.lowest} and at most {age.highest}.",
            field=f"{field}.lowest",
        )


def _check_years(field: str, age: HorseAge) -> None:
    if age.year_begins is not None:
        _check_month_day(f"{field}.year_begins", age.year_begins)
    if age.southern_year_begins is not None:
        _check_month_day(f"{field}.southern_year_begins", age.southern_year_begins)
        if age.year_begins is None:
            raise Refusal(
                "southern_year_alone",
                "By the foaling day itself horses are counted alike everywhere.",
                field=f"{field}.southern_year_begins",
            )


def _check_levels(field: str, held: LevelsAdmitted) -> None:
    if not held.levels or not all(level.strip() for level in held.levels):
        raise Refusal("levels_missing", "Name the levels that are admitted.", field=field)
    if held.discipline is not None and not held.discipline.strip():
        raise Refusal("discipline_unnamed", "A discipline has a name.", field=f"{field}.discipline")


def _check_day(field: str, on: CountedOn) -> None:
    if (on.kind == "given") != (on.day is not None):
        raise Refusal(
            "day_counted_unclear",
            "A day is named where it is a given one, and only there.",
            field=f"{field}.day",
        )
    if (on.kind in {"same_year", "year_before"}) != (on.month_day is not None):
        raise Refusal(
            "day_counted_unclear",
            "Month and day are named where they are those of the same year or of the year before, "
            "and only there.",
            field=f"{field}.month_day",
        )
    if on.month_day is not None:
        _check_month_day(f"{field}.month_day", on.month_day)


def _check_month_day(field: str, month_day: MonthDay) -> None:
    try:
        found = month_day_in(month_day, _A_COMMON_YEAR)
    except ValueError:
        found = None
    if found is None or found.strftime("%m-%d") != month_day:
        raise Refusal(
            "day_not_every_year",
            "Month and day are those of a day that comes every year, such as 12-01.",
            field=field,
        )
