"""Ages on the days that programmes count them, and against PostgreSQL's own reckoning."""

from collections.abc import Callable
from datetime import date, timedelta

from sqlalchemy import text

from events.show.division import AgeLimits, CountedOn, DivisionTerms, HorseAge, day_counted
from events.show.eligibility import rider_reasons
from events.show.facts import HorseFacts, RiderFacts, age_of_horse, full_years
from service.store.engine import Database

SHOW = date(2026, 5, 8)


def test_age_is_that_on_the_december_before() -> None:
    # TSSA Austin: age as of 1 December before
    on = CountedOn(kind="year_before", month_day="12-01")
    assert day_counted(on, SHOW) == date(2025, 12, 1)
    terms = DivisionTerms(rider_age=AgeLimits(highest=17, on=on))
    born = (date(2007, 12, 1), date(2007, 12, 2))
    of_18, of_17 = (
        rider_reasons("17 and under", terms, RiderFacts(born=day), first_day=SHOW, held_on=SHOW)
        for day in born
    )
    assert [each.facts["age"] for each in of_18] == [18]
    assert of_17 == ()


def test_a_youth_who_is_eighteen_on_new_years_day_is_a_youth_all_year() -> None:
    # Common practice of the breed associations (from memory): youth are 18 or under on 1 January,
    # and stay so for that year.
    on = CountedOn(kind="same_year", month_day="01-01")
    terms = DivisionTerms(rider_age=AgeLimits(highest=18, on=on))
    for first_day in (date(2026, 1, 1), date(2026, 12, 31)):
        for born, fits in ((date(2007, 1, 1), False), (date(2007, 1, 2), True)):
            facts = RiderFacts(born=born)
            found = rider_reasons("Youth", terms, facts, first_day=first_day, held_on=first_day)
            assert (found == ()) is fits


def test_every_horse_is_a_year_older_on_new_years_day_whenever_it_was_foaled() -> None:
    # Common practice of the breed registries (from memory): ages go by calendar years, and a horse
    # is one year old on the first 1 January after foaling, whatever the time of the year.
    for foaled in (date(2023, 1, 1), date(2023, 12, 31)):
        ages = [
            age_of_horse(HorseAge(lowest=2), HorseFacts(foaled=foaled), date(year, 1, 1))
            for year in (2024, 2025, 2026)
        ]
        assert ages == [1, 2, 3]


def test_south_of_the_equator_a_horse_is_a_year_older_on_1_august() -> None:
    # Common practice (from memory): horses foaled in the southern hemisphere are counted from
    # 1 August.
    limits = HorseAge(lowest=2, southern_year_begins="08-01")
    foal = HorseFacts(foaled=date(2023, 10, 20), foaled_in="southern")
    days = (date(2024, 7, 31), date(2024, 8, 1), date(2025, 8, 1))
    assert [age_of_horse(limits, foal, day) for day in days] == [0, 1, 2]


def test_ages_are_those_that_postgresql_reckons(new_postgres: Callable[[], str]) -> None:
    # PostgreSQL, age(timestamp, timestamp): years, months and days between two days
    births = [date(2004, 2, 27) + timedelta(days=step) for step in range(5)]
    births += [date(2007, 12, 31), date(2008, 1, 1), date(2008, 6, 30), date(2009, 8, 1)]
    on = [date(2024, 2, 27) + timedelta(days=step) for step in range(5)]
    on += [date(2025, 2, 27) + timedelta(days=step) for step in range(4)]
    on += [date(2025, 12, 1), date(2025, 12, 31), date(2026, 1, 1), date(2026, 6, 30)]
    reckon = text("SELECT extract(year FROM age(CAST(:on AS date), CAST(:born AS date)))")
    database = Database(new_postgres())
    with database.reading() as connection:
        for born in births:
            for day in on:
                years = connection.scalar(reckon, {"on": day, "born": born})
                assert full_years(born, day) == years, (born, day)
    database.close()
