"""What a division asks, held against what is known of a rider and a horse."""

from datetime import date

import pytest

from events.refusals import Refusal
from events.show.division import (
    AgeLimits,
    CountedOn,
    DivisionTerms,
    HorseAge,
    LevelsAdmitted,
    day_counted,
)
from events.show.eligibility import horse_reasons, is_missing, rider_reasons
from events.show.facts import HorseFacts, LevelHeld, Membership, RiderFacts

FIRST_DAY = date(2026, 6, 5)
HELD_ON = date(2026, 6, 7)
NEW_YEAR = CountedOn(kind="same_year", month_day="01-01")
YOUTH = DivisionTerms(rider_age=AgeLimits(highest=18, on=NEW_YEAR))
NOVICE = DivisionTerms(
    rider_levels=LevelsAdmitted(levels=("novice", "intermediate"), discipline="trail", on=NEW_YEAR)
)
MEMBERS = DivisionTerms(member_of="Hill Country")
GREEN = DivisionTerms(horse_age=HorseAge(lowest=3, highest=5))


def rider(terms: DivisionTerms, facts: RiderFacts, name: str = "youth") -> tuple[Refusal, ...]:
    return rider_reasons(name, terms, facts, first_day=FIRST_DAY, held_on=HELD_ON)


def horse(terms: DivisionTerms, facts: HorseFacts | None, name: str = "Green") -> list[Refusal]:
    return list(horse_reasons(name, terms, facts, first_day=FIRST_DAY))


@pytest.mark.parametrize(
    ("on", "day"),
    [
        (CountedOn(), FIRST_DAY),
        (NEW_YEAR, date(2026, 1, 1)),
        (CountedOn(kind="same_year", month_day="12-31"), date(2026, 12, 31)),
        (CountedOn(kind="year_before", month_day="12-01"), date(2025, 12, 1)),
        (CountedOn(kind="given", day=date(2025, 9, 1)), date(2025, 9, 1)),
        (CountedOn(kind="given"), FIRST_DAY),
        (CountedOn(kind="same_year"), FIRST_DAY),
    ],
)
def test_a_day_is_counted_as_seen_from_the_show(on: CountedOn, day: date) -> None:
    assert day_counted(on, FIRST_DAY) == day


def test_a_rider_of_eighteen_on_the_day_is_not_too_old() -> None:
    assert rider(YOUTH, RiderFacts(born=date(2007, 1, 2))) == ()


def test_a_rider_who_is_too_old_is_told_the_numbers() -> None:
    [reason] = rider(YOUTH, RiderFacts(born=date(2007, 1, 1)))
    assert reason.message == "The rider is 19 on 2026-01-01; youth admits riders of at most 18."
    assert (reason.code, reason.field) == ("rider_too_old", "exhibitor")
    assert reason.rule == "the show's division youth"
    assert reason.facts == {"division": "youth", "on": "2026-01-01", "age": 19, "highest": 18}
    assert not is_missing(reason)


@pytest.mark.parametrize(
    ("limits", "said"),
    [
        (
            AgeLimits(lowest=50),
            "The rider is 19 on 2026-06-05; youth admits riders of at least 50.",
        ),
        (
            AgeLimits(lowest=20, highest=49),
            "The rider is 19 on 2026-06-05; youth admits riders from 20 to 49.",
        ),
        (
            AgeLimits(lowest=20, highest=20),
            "The rider is 19 on 2026-06-05; youth admits riders of 20.",
        ),
    ],
)
def test_a_rider_who_is_too_young_is_told_the_numbers(limits: AgeLimits, said: str) -> None:
    [reason] = rider(DivisionTerms(rider_age=limits), RiderFacts(born=date(2007, 1, 1)))
    assert (reason.code, reason.message) == ("rider_too_young", said)
    assert reason.facts["lowest"] == limits.lowest


def test_a_date_of_birth_that_is_not_known_is_missing() -> None:
    [reason] = rider(YOUTH, RiderFacts())
    assert reason.code == "rider_birth_unknown"
    assert reason.facts["missing"] == "born"
    assert is_missing(reason)
    assert reason.message == (
        "The registry holds no date of birth of the rider; youth admits riders of at most 18 on "
        "2026-01-01."
    )


def test_a_level_that_is_admitted_fits_whatever_its_capitals() -> None:
    held = (LevelHeld(level="Novice", since=date(2026, 1, 1), discipline="Trail"),)
    assert rider(NOVICE, RiderFacts(levels=held)) == ()


def test_a_level_above_the_division_is_refused_by_name() -> None:
    held = (LevelHeld(level="advanced", since=date(2026, 1, 1)),)
    [reason] = rider(NOVICE, RiderFacts(levels=held), "Novice trail")
    assert reason.code == "rider_level_not_admitted"
    assert reason.message == (
        "The rider is at the level advanced in trail on 2026-01-01; Novice trail admits: novice, "
        "intermediate."
    )


def test_a_level_reached_after_the_day_is_not_held_on_it() -> None:
    held = (LevelHeld(level="novice", since=date(2026, 1, 2)),)
    [reason] = rider(NOVICE, RiderFacts(levels=held))
    assert (reason.code, reason.facts["missing"]) == ("rider_level_unknown", "levels")
    everywhere = DivisionTerms(rider_levels=LevelsAdmitted(levels=("novice",)))
    assert rider(everywhere, RiderFacts(levels=held)) == ()
    [reason] = rider(everywhere, RiderFacts())
    assert "no level in all disciplines of the rider on 2026-06-05" in reason.message


def test_members_are_members_on_the_day_of_the_class() -> None:
    joined = Membership(body="hill country", since=HELD_ON)
    assert rider(MEMBERS, RiderFacts(memberships=(joined,))) == ()


def test_a_membership_that_is_not_in_force_says_from_when_until_when() -> None:
    held = (
        Membership(body="Hill Country", since=date(2025, 1, 1), until=date(2025, 12, 31)),
        Membership(body="Hill Country", since=date(2026, 6, 8)),
        Membership(body="Elsewhere"),
    )
    [reason] = rider(MEMBERS, RiderFacts(memberships=held), "Members")
    assert reason.code == "membership_not_in_force"
    assert reason.message == (
        "The rider is no member of Hill Country on 2026-06-07, only from 2025-01-01 until "
        "2025-12-31, from 2026-06-08; Members is for its members."
    )
    assert not is_missing(reason)


def test_a_membership_that_is_not_known_is_missing() -> None:
    elsewhere = RiderFacts(memberships=(Membership(body="Elsewhere"),))
    [reason] = rider(MEMBERS, elsewhere)
    assert (reason.code, reason.facts["missing"]) == ("membership_unknown", "memberships")
    ended = Membership(body="Hill Country", until=date(2026, 6, 6))
    [reason] = rider(MEMBERS, RiderFacts(memberships=(ended,)))
    assert "only until 2026-06-06;" in reason.message


def test_every_reason_is_given_at_once() -> None:
    terms = DivisionTerms(
        rider_age=YOUTH.rider_age, rider_levels=NOVICE.rider_levels, member_of="Hill Country"
    )
    found = [reason.code for reason in rider(terms, RiderFacts())]
    assert found == ["rider_birth_unknown", "rider_level_unknown", "membership_unknown"]
    assert rider(DivisionTerms(), RiderFacts()) == ()


def test_a_horse_within_the_limits_fits() -> None:
    for year in (2021, 2022, 2023):
        assert horse(GREEN, HorseFacts(foaled_year=year)) == []


def test_a_horse_outside_the_limits_is_told_the_numbers() -> None:
    [old] = horse(GREEN, HorseFacts(foaled=date(2020, 12, 31)))
    assert (old.code, old.field) == ("horse_too_old", "horse")
    assert old.message == "The horse is 6 on 2026-06-05; Green admits horses from 3 to 5."
    [young] = horse(GREEN, HorseFacts(foaled=date(2024, 1, 1)))
    assert (young.code, young.facts["age"]) == ("horse_too_young", 2)


@pytest.mark.parametrize(
    ("limits", "facts", "said"),
    [
        (HorseAge(highest=5), HorseFacts(), "holds no year of foaling of the horse"),
        (
            HorseAge(highest=5, year_begins="08-01"),
            HorseFacts(foaled_year=2022),
            "holds no foaling day of the horse",
        ),
        (
            HorseAge(highest=5, southern_year_begins="08-01"),
            HorseFacts(foaled_year=2022),
            "does not say on which side of the equator the horse was foaled",
        ),
    ],
)
def test_what_is_missing_of_a_foaling_is_named(
    limits: HorseAge, facts: HorseFacts, said: str
) -> None:
    [reason] = horse(DivisionTerms(horse_age=limits), facts)
    assert reason.code == "horse_foaling_unknown"
    assert is_missing(reason)
    assert reason.message == (
        f"The registry {said}; Green admits horses of at most 5 on 2026-06-05."
    )


def test_a_horse_has_a_level_of_its_own() -> None:
    terms = DivisionTerms(horse_levels=LevelsAdmitted(levels=("green",)))
    [reason] = horse(terms, HorseFacts())
    assert (reason.code, reason.field) == ("horse_level_unknown", "horse")
    seasoned = (LevelHeld(level="seasoned", since=date(2025, 1, 1)),)
    [reason] = horse(terms, HorseFacts(levels=seasoned))
    assert reason.code == "horse_level_not_admitted"


def test_a_horse_is_of_a_sex_that_is_admitted() -> None:
    terms = DivisionTerms(horse_sexes=("mare", "gelding"))
    assert horse(terms, HorseFacts(sex="mare")) == []
    [reason] = horse(terms, HorseFacts(sex="stallion"))
    assert reason.message == "The horse is a stallion; Green admits: mare, gelding."
    [reason] = horse(terms, HorseFacts())
    assert (reason.code, reason.facts["missing"]) == ("horse_sex_unknown", "sex")


def test_a_division_that_asks_something_of_the_horse_needs_one() -> None:
    [reason] = horse(GREEN, None)
    assert (reason.code, reason.field) == ("horse_not_named", "horse")
    assert not is_missing(reason)
    assert horse(YOUTH, None) == []
