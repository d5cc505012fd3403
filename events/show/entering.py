"""Whether an exhibitor with a horse may be entered in a class, by the divisions of its show."""

from collections.abc import Iterable
from datetime import date
from typing import Literal, get_args

import msgspec

from events.refusals import Refusal
from events.show.decide_divisions import not_defined
from events.show.eligibility import FIELDS, horse_reasons, is_missing, rider_reasons
from events.show.events import ClassDivisionsSet
from events.show.facts import HorseFacts, RiderFacts
from events.show.state import ShowState

Standing = Literal[
    "eligible", "on_evidence", "unknown", "not_eligible", "not_admitted", "not_defined"
]
"""How an entry stands in a division, from the best to the worst."""

ORDER: tuple[Standing, ...] = get_args(Standing)


class Entering(msgspec.Struct, frozen=True, kw_only=True):
    """Who is to be entered, in which divisions, and what is known of them now.

    ``held_on`` is the day of the class, where a day is known.
    """

    exhibitor: str
    rider: RiderFacts
    horse: str | None = None
    mount: HorseFacts | None = None
    divisions: tuple[str, ...] = ()
    held_on: date | None = None


class InDivision(msgspec.Struct, frozen=True, kw_only=True):
    """How it stands in one division, with every reason against it.

    ``on_evidence``: what the registry does not hold was shown to an official; ``unknown``: it was
    not. ``not_admitted``: the class does not have that division. ``required`` says that the class
    asks it of everybody, named on the entry or not. ``refusing`` are the reasons that evidence does
    not stand in for.
    """

    division: str
    standing: Standing
    required: bool = False
    reasons: tuple[Refusal, ...] = ()
    refusing: tuple[Refusal, ...] = ()


def refusals(state: ShowState, class_id: str, entering: Entering) -> tuple[Refusal, ...]:
    """Every reason why an entry is not taken; none at a show that defines no divisions."""
    if not state.divisions:
        return ()
    held = divisions_of(state, class_id)
    found = [reason for each in in_divisions(state, class_id, entering) for reason in each.refusing]
    if held.must_name and not entering.divisions:
        found.append(
            Refusal(
                "division_not_named",
                "Every entry of this class is in a division: name one of "
                f"{', '.join(held.admits or sorted(state.divisions))}.",
                field="divisions",
                rule="every entry of the class is in a division",
            )
        )
    return tuple(found)


def in_divisions(state: ShowState, class_id: str, entering: Entering) -> tuple[InDivision, ...]:
    """How it stands in each division that the entry names or the class requires, if any counts."""
    if not state.divisions:
        return ()
    held = divisions_of(state, class_id)
    named = {name: index for index, name in reversed(tuple(enumerate(entering.divisions)))}
    found = []
    for name in dict.fromkeys((*entering.divisions, *held.requires)):
        each = in_division(state, name, entering, named.get(name))
        if name in named and name in state.divisions and held.admits and name not in held.admits:
            each = _not_admitted(each, held, named[name])
        found.append(msgspec.structs.replace(each, required=name in held.requires))
    return tuple(found)


def in_division(
    state: ShowState, division: str, entering: Entering, index: int | None = None
) -> InDivision:
    """How it stands in one division, which the entry names at that index."""
    defined = state.divisions.get(division)
    if defined is None or state.planned is None:
        none = not_defined(division, sorted(state.divisions), f"divisions[{index or 0}]")
        return InDivision(
            division=division, standing="not_defined", reasons=(none,), refusing=(none,)
        )
    first_day = state.planned.first_day
    reasons = (
        *rider_reasons(
            division,
            defined.terms,
            entering.rider,
            first_day=first_day,
            held_on=entering.held_on or first_day,
        ),
        *horse_reasons(division, defined.terms, entering.mount, first_day=first_day),
    )
    refusing = tuple(
        reason for reason in reasons if not _is_shown(state, division, entering, reason)
    )
    return InDivision(
        division=division,
        standing=_standing(reasons, refusing),
        reasons=reasons,
        refusing=refusing,
    )


def divisions_of(state: ShowState, class_id: str) -> ClassDivisionsSet:
    """The divisions of a class; one of which nothing was said has all, and requires none."""
    return state.class_divisions.get(class_id, ClassDivisionsSet(class_id=class_id))


def worst(divisions: Iterable[InDivision]) -> Standing:
    """How it stands in all of these together."""
    return max((each.standing for each in divisions), key=ORDER.index, default="eligible")


def _not_admitted(each: InDivision, held: ClassDivisionsSet, index: int) -> InDivision:
    refusal = Refusal(
        "division_not_admitted",
        f"This class has no division {each.division}; it has: {', '.join(held.admits)}.",
        field=f"divisions[{index}]",
        rule="a class has the divisions that the show has set for it",
        division=each.division,
        admits=held.admits,
    )
    return msgspec.structs.replace(
        each,
        standing="not_admitted",
        reasons=(refusal, *each.reasons),
        refusing=(refusal, *each.refusing),
    )


def _is_shown(state: ShowState, division: str, entering: Entering, reason: Refusal) -> bool:
    """Whether evidence stands in for what the registry does not hold."""
    if not is_missing(reason):
        return False
    if reason.field == FIELDS["rider"]:
        return (division, entering.exhibitor, None) in state.evidence
    return (division, None, entering.horse) in state.evidence


def _standing(reasons: tuple[Refusal, ...], refusing: tuple[Refusal, ...]) -> Standing:
    if not reasons:
        return "eligible"
    if not refusing:
        return "on_evidence"
    return "unknown" if all(is_missing(reason) for reason in refusing) else "not_eligible"
