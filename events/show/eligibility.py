"""Whether a rider and a horse meet what a division asks, and if not, every reason why.

What is known of them is no part of any event: it comes in from the registry, is held against the
terms, and leads to sentences. A reason whose facts name what is ``missing`` says that nothing is
known; any other says that what is known does not fit.
"""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from typing import Literal

from events.refusals import Refusal
from events.show.division import (
    AgeLimits,
    DivisionTerms,
    HorseAge,
    HorseSex,
    LevelsAdmitted,
    day_counted,
)
from events.show.facts import (
    FoalingFact,
    HorseFacts,
    LevelHeld,
    Membership,
    RiderFacts,
    age_of_horse,
    full_years,
    level_on,
    same,
)

Subject = Literal["rider", "horse"]
FIELDS: Mapping[Subject, str] = {"rider": "exhibitor", "horse": "horse"}
"""Which part of an entry each reason is about."""

_FOALING: Mapping[FoalingFact, str] = {
    "foaled": "holds no foaling day of the horse",
    "foaled_year": "holds no year of foaling of the horse",
    "foaled_in": "does not say on which side of the equator the horse was foaled",
}


def is_missing(reason: Refusal) -> bool:
    """Whether a reason says that nothing is known, rather than that what is known does not fit."""
    return "missing" in reason.facts


def rider_reasons(
    division: str, terms: DivisionTerms, facts: RiderFacts, *, first_day: date, held_on: date
) -> tuple[Refusal, ...]:
    """Why a rider is not eligible, as far as is known; ``()`` where everything fits.

    ``first_day`` is the show's, ``held_on`` the day of the class, on which members are members.
    """
    found: list[Refusal] = []
    if terms.rider_age is not None:
        found.extend(_age_of_rider(division, terms.rider_age, facts, first_day))
    if terms.rider_levels is not None:
        found.extend(_level("rider", division, terms.rider_levels, facts.levels, first_day))
    if terms.member_of is not None:
        found.extend(_membership(division, terms.member_of, facts.memberships, held_on))
    return tuple(found)


def horse_reasons(
    division: str, terms: DivisionTerms, facts: HorseFacts | None, *, first_day: date
) -> tuple[Refusal, ...]:
    """Why a horse is not eligible, as far as is known; ``()`` where everything fits.

    ``None`` is no horse at all.
    """
    if not (terms.horse_age or terms.horse_levels or terms.horse_sexes):
        return ()
    if facts is None:
        said = f"The division {division} asks something of the horse: name one."
        return (Refusal("horse_not_named", said, **_about("horse", division)),)
    found: list[Refusal] = []
    if terms.horse_age is not None:
        found.extend(_age_of_horse(division, terms.horse_age, facts, first_day))
    if terms.horse_levels is not None:
        found.extend(_level("horse", division, terms.horse_levels, facts.levels, first_day))
    if terms.horse_sexes:
        found.extend(_sex(division, terms.horse_sexes, facts.sex))
    return tuple(found)


def _age_of_rider(
    division: str, limits: AgeLimits, facts: RiderFacts, first_day: date
) -> Iterator[Refusal]:
    on = day_counted(limits.on, first_day)
    if facts.born is None:
        yield Refusal(
            "rider_birth_unknown",
            f"The registry holds no date of birth of the rider; {division} admits riders "
            f"{_span(limits)} on {on}.",
            **_about("rider", division),
            missing="born",
            on=str(on),
        )
    else:
        yield from _age("rider", division, limits, full_years(facts.born, on), on)


def _age_of_horse(
    division: str, limits: HorseAge, facts: HorseFacts, first_day: date
) -> Iterator[Refusal]:
    on = day_counted(limits.on, first_day)
    age = age_of_horse(limits, facts, on)
    if isinstance(age, int):
        yield from _age("horse", division, limits, age, on)
    else:
        yield Refusal(
            "horse_foaling_unknown",
            f"The registry {_FOALING[age]}; {division} admits horses {_span(limits)} on {on}.",
            **_about("horse", division),
            missing=age,
            on=str(on),
        )


def _age(
    who: Subject, division: str, limits: AgeLimits | HorseAge, age: int, on: date
) -> Iterator[Refusal]:
    said = f"The {who} is {age} on {on}; {division} admits {who}s {_span(limits)}."
    told = {**_about(who, division), "on": str(on)}
    if limits.highest is not None and age > limits.highest:
        yield Refusal(f"{who}_too_old", said, **told, age=age, highest=limits.highest)
    if limits.lowest is not None and age < limits.lowest:
        yield Refusal(f"{who}_too_young", said, **told, age=age, lowest=limits.lowest)


def _span(limits: AgeLimits | HorseAge) -> str:
    if limits.lowest is None:
        return f"of at most {limits.highest}"
    if limits.highest is None:
        return f"of at least {limits.lowest}"
    if limits.lowest == limits.highest:
        return f"of {limits.lowest}"
    return f"from {limits.lowest} to {limits.highest}"


def _level(
    who: Subject,
    division: str,
    admitted: LevelsAdmitted,
    held: Sequence[LevelHeld],
    first_day: date,
) -> Iterator[Refusal]:
    on = day_counted(admitted.on, first_day)
    where = "in all disciplines" if admitted.discipline is None else f"in {admitted.discipline}"
    level = level_on(held, admitted.discipline, on)
    told = {**_about(who, division), "on": str(on)}
    wanted = f"{division} admits: {', '.join(admitted.levels)}."
    if level is None:
        yield Refusal(
            f"{who}_level_unknown",
            f"The registry holds no level {where} of the {who} on {on}; {wanted}",
            **told,
            missing="levels",
        )
    elif not any(same(level, each) for each in admitted.levels):
        yield Refusal(
            f"{who}_level_not_admitted",
            f"The {who} is at the level {level} {where} on {on}; {wanted}",
            **told,
            level=level,
            admitted=admitted.levels,
        )


def _membership(
    division: str, body: str, held: Sequence[Membership], on: date
) -> Iterator[Refusal]:
    known = [each for each in held if same(each.body, body)]
    told = {**_about("rider", division), "on": str(on), "body": body}
    if not known:
        yield Refusal(
            "membership_unknown",
            f"The registry holds no membership of {body} for the rider; {division} is for its "
            "members.",
            **told,
            missing="memberships",
        )
    elif not any(each.covers(on) for each in known):
        spans = ", ".join(_from_to(each) for each in known)
        yield Refusal(
            "membership_not_in_force",
            f"The rider is no member of {body} on {on}, only {spans}; {division} is for its "
            "members.",
            **told,
        )


def _from_to(held: Membership) -> str:
    since = f"from {held.since}" if held.since else ""
    until = f"until {held.until}" if held.until else ""
    return f"{since} {until}".strip()


def _sex(division: str, admitted: Sequence[HorseSex], sex: HorseSex | None) -> Iterator[Refusal]:
    wanted = f"{division} admits: {', '.join(admitted)}."
    if sex is None:
        yield Refusal(
            "horse_sex_unknown",
            f"The registry does not say whether the horse is mare, gelding or stallion; {wanted}",
            **_about("horse", division),
            missing="sex",
        )
    elif sex not in admitted:
        yield Refusal(
            "horse_sex_not_admitted",
            f"The horse is a {sex}; {wanted}",
            **_about("horse", division),
            sex=sex,
            admitted=tuple(admitted),
        )


def _about(who: Subject, division: str) -> dict[str, str]:
    """The part of the entry that a reason is about, the rule behind it, and the division."""
    return {
        "field": FIELDS[who],
        "rule": f"the show's division {division}",
        "division": division,
    }
