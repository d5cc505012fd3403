"""Ages, levels and memberships on a day."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.show.division import HorseAge
from events.show.facts import (
    HorseFacts,
    LevelHeld,
    Membership,
    age_of_horse,
    breeding_years,
    full_years,
    level_on,
    same,
)

DAYS = st.dates(date(1930, 1, 1), date(2100, 12, 31))
NEW_YEARS_DAY = date(2026, 1, 1)


@pytest.mark.parametrize(
    ("born", "on", "age"),
    [
        (date(2008, 1, 1), NEW_YEARS_DAY, 18),
        (date(2008, 1, 2), NEW_YEARS_DAY, 17),
        (date(2007, 12, 31), NEW_YEARS_DAY, 18),
        (date(2007, 1, 1), NEW_YEARS_DAY, 19),
        (date(2007, 1, 2), NEW_YEARS_DAY, 18),
        (date(2026, 1, 1), NEW_YEARS_DAY, 0),
        (date(2026, 5, 1), NEW_YEARS_DAY, 0),
        (date(2027, 5, 1), NEW_YEARS_DAY, 0),
    ],
)
def test_a_rider_is_a_year_older_on_the_very_birthday(born: date, on: date, age: int) -> None:
    assert full_years(born, on) == age


@pytest.mark.parametrize(
    ("on", "age"),
    [
        (date(2025, 2, 28), 16),
        (date(2025, 3, 1), 17),
        (date(2028, 2, 28), 19),
        (date(2028, 2, 29), 20),
    ],
)
def test_whoever_was_born_on_29_february_is_a_year_older_on_1_march_of_common_years(
    on: date, age: int
) -> None:
    assert full_years(date(2008, 2, 29), on) == age


@given(DAYS, DAYS, DAYS)
def test_nobody_grows_younger(born: date, one: date, other: date) -> None:
    earlier, later = sorted((one, other))
    assert full_years(born, earlier) <= full_years(born, later)


@given(DAYS, DAYS)
def test_from_1_january_a_horse_is_as_old_as_the_years_differ(foaled: date, on: date) -> None:
    years = max(0, on.year - foaled.year)
    assert breeding_years(foaled, on, "01-01") == years
    known = HorseFacts(foaled_year=foaled.year)
    assert age_of_horse(HorseAge(highest=4), known, on) == years


@given(DAYS, DAYS)
def test_a_horse_is_at_most_a_year_older_by_breeding_years_than_by_its_days(
    foaled: date, on: date
) -> None:
    assert breeding_years(foaled, on, "08-01") - full_years(foaled, on) in {0, 1}


@pytest.mark.parametrize(
    ("foaled", "on", "age"),
    [
        (date(2023, 7, 31), date(2026, 7, 31), 3),
        (date(2023, 7, 31), date(2026, 8, 1), 4),
        (date(2023, 8, 1), date(2026, 7, 31), 2),
        (date(2023, 8, 1), date(2026, 8, 1), 3),
        (date(2023, 10, 9), date(2024, 1, 1), 0),
    ],
)
def test_a_breeding_year_may_begin_on_1_august(foaled: date, on: date, age: int) -> None:
    assert breeding_years(foaled, on, "08-01") == age


BOTH = HorseAge(highest=4, southern_year_begins="08-01")
BY_DAYS = HorseAge(highest=4, year_begins=None)
AUGUST = HorseAge(highest=4, year_begins="08-01")
ALL_JANUARY = HorseAge(highest=4)
SPRING = date(2022, 10, 3)
JUNE = date(2026, 6, 5)


@pytest.mark.parametrize(
    ("limits", "known", "expected"),
    [
        (ALL_JANUARY, HorseFacts(foaled=SPRING), 4),
        (ALL_JANUARY, HorseFacts(foaled=SPRING, foaled_in="southern"), 4),
        (ALL_JANUARY, HorseFacts(), "foaled_year"),
        (BOTH, HorseFacts(foaled=SPRING, foaled_in="southern"), 3),
        (BOTH, HorseFacts(foaled=SPRING, foaled_in="northern"), 4),
        (BOTH, HorseFacts(foaled_year=2022, foaled_in="northern"), 4),
        (BOTH, HorseFacts(foaled_year=2022, foaled_in="southern"), "foaled"),
        (BOTH, HorseFacts(foaled=SPRING), "foaled_in"),
        (AUGUST, HorseFacts(foaled=SPRING), 3),
        (AUGUST, HorseFacts(foaled_year=2022), "foaled"),
        (BY_DAYS, HorseFacts(foaled=SPRING), 3),
        (BY_DAYS, HorseFacts(foaled_year=2022), "foaled"),
    ],
)
def test_a_horse_has_an_age_or_a_fact_is_missing(
    limits: HorseAge, known: HorseFacts, expected: object
) -> None:
    assert age_of_horse(limits, known, JUNE) == expected


LEVELS = (
    LevelHeld(level="advanced", since=date(2026, 1, 1), discipline="Trail"),
    LevelHeld(level="novice", since=date(2024, 1, 1), discipline="Trail"),
    LevelHeld(level="intermediate", since=date(2025, 3, 1)),
)


@pytest.mark.parametrize(
    ("discipline", "on", "level"),
    [
        ("trail", date(2025, 12, 31), "novice"),
        ("trail", date(2026, 1, 1), "advanced"),
        ("trail", date(2023, 12, 31), None),
        ("reining", date(2026, 1, 1), "intermediate"),
        ("reining", date(2025, 2, 28), None),
        (None, date(2026, 1, 1), "intermediate"),
        (None, date(2025, 2, 28), None),
    ],
)
def test_the_level_begun_last_counts_and_that_of_the_discipline_first(
    discipline: str | None, on: date, level: str | None
) -> None:
    assert level_on(LEVELS, discipline, on) == level


@pytest.mark.parametrize(
    ("held", "covered"),
    [
        (Membership(body="b"), True),
        (Membership(body="b", since=JUNE), True),
        (Membership(body="b", until=JUNE), True),
        (Membership(body="b", since=date(2026, 6, 6)), False),
        (Membership(body="b", until=date(2026, 6, 4)), False),
    ],
)
def test_a_membership_counts_on_its_first_and_its_last_day(
    held: Membership, *, covered: bool
) -> None:
    assert held.covers(JUNE) is covered


def test_names_are_the_same_whatever_their_capitals() -> None:
    assert same(" Novice", "novice")
    assert not same("Novice", None)
    assert not same("Novice 1", "Novice 2")
