"""Whether an exhibitor with a horse may be entered in a class, by the divisions of its show."""

from collections.abc import Iterator
from datetime import date
from typing import Literal

import msgspec

from events.refusals import Refusal
from events.show.decide_divisions import not_defined
from events.show.eligibility import FIELDS, horse_reasons, is_missing, rider_reasons
from events.show.events import ClassDivisionsSet
from events.show.facts import HorseFacts, RiderFacts
from events.show.state import ShowState

Standing = Literal["eligible", "on_evidence", "unknown", "not_eligible", "not_defined"]


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
    not. ``required`` says that the class asks it of everybody, named on the entry or not.
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
    found = list(_of_class(state, class_id, entering.divisions))
    for each in in_divisions(state, class_id, entering):
        found.extend(each.refusing)
    return tuple(found)


def in_divisions(state: ShowState, class_id: str, entering: Entering) -> tuple[InDivision, ...]:
    """How it stands in each division that the entry names or the class requires."""
    required = divisions_of(state, class_id).requires
    named = dict.fromkeys((*entering.divisions, *required))
    return tuple(
        msgspec.structs.replace(in_division(state, name, entering), required=name in required)
        for name in named
    )


def in_division(state: ShowState, division: str, entering: Entering) -> InDivision:
    """How it stands in one division."""
    defined = state.divisions.get(division)
    if defined is None or state.planned is None:
        return InDivision(division=division, standing="not_defined")
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


def _of_class(state: ShowState, class_id: str, named: tuple[str, ...]) -> Iterator[Refusal]:
    """What is wrong with the divisions that an entry names, whoever is entered."""
    held = divisions_of(state, class_id)
    for index, name in enumerate(named):
        if name not in state.divisions:
            yield not_defined(name, sorted(state.divisions), f"divisions[{index}]")
        elif held.admits and name not in held.admits:
            yield Refusal(
                "division_not_admitted",
                f"This class has no division {name}; it has: {', '.join(held.admits)}.",
                field=f"divisions[{index}]",
                rule="a class has the divisions that the show has set for it",
                division=name,
                admits=held.admits,
            )
    if held.must_name and not named:
        yield Refusal(
            "division_not_named",
            "Every entry of this class is in a division: name one of "
            f"{', '.join(held.admits or sorted(state.divisions))}.",
            field="divisions",
            rule="every entry of the class is in a division",
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
