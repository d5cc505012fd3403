"""What entries are checked by, at the desk: read, and kept as it is known now."""

from datetime import date, timedelta

from events.refusals import Refusal
from events.show.facts import HorseFacts, LevelHeld, Membership, RiderFacts
from service.desk.desk import Desk
from service.desk.people import horse_with, person_with
from service.store import facts as kept

EARLIEST = 1900
"""Nobody at a show was born before that year."""


def of_person(desk: Desk, person_id: str) -> RiderFacts:
    """What is known of a person; of an erased one nothing is."""
    person_with(desk, person_id)
    return kept.rider_facts(desk.database, [person_id]).get(person_id, RiderFacts())


def of_horse(desk: Desk, horse_id: str) -> HorseFacts:
    """What is known of a horse."""
    horse_with(desk, horse_id)
    return kept.horse_facts_of(desk.database, [horse_id]).get(horse_id, HorseFacts())


def keep_of_person(desk: Desk, person_id: str, facts: RiderFacts) -> RiderFacts:
    """Replace what is known of a person."""
    person_with(desk, person_id)
    _check_day(desk, "born", facts.born)
    _check_levels(facts.levels)
    _check_memberships(facts.memberships)
    if not kept.keep_rider_facts(desk.database, person_id, facts):
        raise Refusal("person_erased", f"The person {person_id} was erased.", person=person_id)
    return facts


def keep_of_horse(desk: Desk, horse_id: str, facts: HorseFacts) -> HorseFacts:
    """Replace what is known of a horse."""
    horse_with(desk, horse_id)
    if facts.foaled is not None and facts.foaled_year not in {None, facts.foaled.year}:
        raise Refusal(
            "foaling_contradicted",
            f"A horse foaled on {facts.foaled} was not foaled in {facts.foaled_year}.",
            field="foaled_year",
        )
    _check_day(desk, "foaled", facts.foaled)
    if facts.foaled_year is not None:
        _check_day(desk, "foaled_year", date(facts.foaled_year, 1, 1))
    _check_levels(facts.levels)
    kept.keep_horse_facts(desk.database, horse_id, facts)
    return facts


def _check_day(desk: Desk, field: str, day: date | None) -> None:
    tomorrow = desk.clock().date() + timedelta(days=1)  # it is that day already in the far east
    if day is not None and not date(EARLIEST, 1, 1) <= day <= tomorrow:
        raise Refusal(
            "birth_out_of_reach",
            f"Births lie between the year {EARLIEST} and today.",
            field=field,
        )


def _check_levels(levels: tuple[LevelHeld, ...]) -> None:
    begun = [((each.discipline or "").strip().casefold(), each.since) for each in levels]
    for index, each in enumerate(begun):
        if each in begun[:index]:
            raise Refusal(
                "level_begun_twice",
                "Two levels in one discipline begin on the same day.",
                field=f"levels[{index}].since",
            )


def _check_memberships(memberships: tuple[Membership, ...]) -> None:
    for index, each in enumerate(memberships):
        if each.since is not None and each.until is not None and each.until < each.since:
            raise Refusal(
                "days_reversed",
                f"The last day, {each.until}, comes before the first, {each.since}.",
                field=f"memberships[{index}].until",
            )
