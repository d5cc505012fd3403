"""Decisions about a show's divisions: what they ask, where they count, what evidence was seen."""

from collections.abc import Sequence

from events.envelope import Event
from events.refusals import Refusal
from events.show import commands as ask
from events.show import events as happened
from events.show.division import check_terms
from events.show.facts import same
from events.show.state import ShowState


def define(state: ShowState, command: ask.DefineDivision) -> tuple[Event, ...]:
    """A division has a name of its own, and terms that are changed only for a reason."""
    if not command.division.strip():
        raise Refusal("division_unnamed", "A division needs a name.", field="division")
    known = state.divisions.get(command.division)
    if known is not None and known.terms == command.terms:
        return ()
    if known is None:
        for other in state.divisions:
            if same(other, command.division):
                raise Refusal(
                    "division_alike",
                    f"The show has a division {other} already, which differs by no more than "
                    "capitals and spaces.",
                    field="division",
                    division=other,
                )
    elif command.reason is None:
        raise Refusal(
            "division_defined_already",
            f"The show has defined the division {command.division}: say why it changes.",
            field="reason",
            rule="a division is changed for a reason",
            division=command.division,
        )
    check_terms(command.terms)
    return (
        happened.DivisionDefined(
            division=command.division, terms=command.terms, reason=command.reason
        ),
    )


def drop(state: ShowState, command: ask.DropDivision) -> tuple[Event, ...]:
    """A division that a class is bound to is not dropped."""
    if command.division not in state.divisions:
        return ()
    bound = tuple(
        each.class_id
        for each in state.class_divisions.values()
        if command.division in (*each.admits, *each.requires)
    )
    if bound:
        raise Refusal(
            "division_in_use",
            f"Classes have the division {command.division}: set theirs otherwise first.",
            field="division",
            class_ids=bound,
        )
    return (happened.DivisionDropped(division=command.division, reason=command.reason),)


def set_of_class(state: ShowState, command: ask.SetClassDivisions) -> tuple[Event, ...]:
    """A class has divisions that the show defines, each named once."""
    event = happened.ClassDivisionsSet(
        class_id=command.class_id,
        admits=command.admits,
        requires=command.requires,
        must_name=command.must_name,
    )
    if state.class_divisions.get(command.class_id) == event:
        return ()
    for field, names in (("admits", command.admits), ("requires", command.requires)):
        for index, name in enumerate(names):
            check_defined(state, name, f"{field}[{index}]")
            if name in names[:index]:
                raise Refusal(
                    "division_named_twice",
                    f"The division {name} is named twice.",
                    field=f"{field}[{index}]",
                    division=name,
                )
    return (event,)


def record_evidence(state: ShowState, command: ask.RecordEvidence) -> tuple[Event, ...]:
    """Evidence is about one rider or one horse, in a division of the show."""
    about = (command.division, command.exhibitor, command.horse)
    if about in state.evidence:
        return ()
    _check_subject(command)
    check_defined(state, command.division, "division")
    return (
        happened.EvidenceSeen(
            division=command.division,
            exhibitor=command.exhibitor,
            horse=command.horse,
            reason=command.reason,
        ),
    )


def take_evidence_back(state: ShowState, command: ask.TakeEvidenceBack) -> tuple[Event, ...]:
    """Only evidence that counts is taken back."""
    if (command.division, command.exhibitor, command.horse) not in state.evidence:
        return ()
    return (
        happened.EvidenceTakenBack(
            division=command.division,
            exhibitor=command.exhibitor,
            horse=command.horse,
            reason=command.reason,
        ),
    )


def check_defined(state: ShowState, division: str, field: str) -> None:
    """Refuse a division that the show does not define, saying which ones it does."""
    if division not in state.divisions:
        raise not_defined(division, sorted(state.divisions), field)


def not_defined(division: str, defined: Sequence[str], field: str) -> Refusal:
    """The refusal of a division that is none of the show's."""
    return Refusal(
        "division_not_defined",
        f"The show defines no division {division}; it defines: {', '.join(defined) or 'none yet'}.",
        field=field,
        rule="where a show defines divisions, entries name no others",
        division=division,
        defined=tuple(defined),
    )


def _check_subject(command: ask.RecordEvidence) -> None:
    if (command.exhibitor is None) == (command.horse is None):
        raise Refusal(
            "evidence_about_nobody",
            "Evidence is about a rider or about a horse: name one of them.",
            field="exhibitor",
        )
