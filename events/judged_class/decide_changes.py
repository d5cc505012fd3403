"""Decisions about a class as a whole after it was scheduled: cancelled, moved, combined."""

from events.envelope import Event
from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.judged_class.decide_panel import refuse_numberless
from events.judged_class.state import ClassState
from events.refusals import Refusal


def cancel(state: ClassState, command: ask.CancelClass) -> tuple[Event, ...]:
    """A class is cancelled once."""
    if state.cancelled is not None:
        return ()
    return (happened.ClassCancelled(reason=command.reason),)


def lift_cancellation(state: ClassState, command: ask.LiftCancellation) -> tuple[Event, ...]:
    """A cancelled class is held after all, unless another one holds it."""
    if state.cancelled is None:
        return ()
    if state.cancelled.into is not None:
        raise Refusal(
            "class_combined",
            f"The class is held within {state.cancelled.into}, which has its entries.",
            into=state.cancelled.into,
        )
    return (happened.CancellationLifted(reason=command.reason),)


def combine(state: ClassState, command: ask.CombineClass) -> tuple[Event, ...]:
    """Another class is taken in once, each of the two as a division with a name of its own."""
    if any(known.event.other == command.other for known in state.combined):
        return ()
    for field in ("division", "own_division"):
        if not getattr(command, field).strip():
            raise Refusal("name_missing", "A division needs a name.", field=field)
    if command.division == command.own_division:
        raise Refusal(
            "divisions_alike",
            "The two classes ride as divisions of different names, so that each keeps its results.",
            field="division",
        )
    return (
        happened.ClassCombined(
            other=command.other,
            division=command.division,
            own_division=command.own_division,
            reason=command.reason,
            both=command.both,
        ),
    )


def combine_into(state: ClassState, command: ask.CombineInto) -> tuple[Event, ...]:
    """A class is given over to another once."""
    if state.cancelled is not None and state.cancelled.into == command.into:
        return ()
    return (happened.CombinedInto(into=command.into, reason=command.reason),)


def reschedule(state: ClassState, command: ask.RescheduleClass) -> tuple[Event, ...]:
    """Name, number, ring and day change for a reason.

    The number stays once rides began where a tie judge goes by it: who breaks ties is fixed before
    (IHSA Western Scoring Explanation).
    """
    if not command.name.strip():
        raise Refusal("name_missing", "A class needs a name.", field="name")
    event = happened.ClassRescheduled(
        name=command.name,
        number=command.number,
        ring=command.ring,
        day=command.day,
        reason=command.reason,
    )
    known = state.scheduled
    if known is None:  # not at this moment: the table says so
        return (event,)
    if (known.name, known.number, known.ring, known.day) == (
        event.name,
        event.number,
        event.ring,
        event.day,
    ):
        return ()
    refuse_numberless(known.panel, command.number)
    by_number = known.panel is not None and known.panel.tie_judge is not None
    if by_number and state.phase != "planned" and known.number != command.number:
        raise Refusal(
            "number_breaks_ties",
            "The number of this class says which judge breaks ties, so it stays now that rides "
            "have begun.",
            field="number",
            rule="who breaks ties is fixed before the first ride",
            number=known.number,
        )
    return (event,)
