"""Decisions about a show. They are the office's; evidence the steward looks at too."""

from collections.abc import Callable, Mapping
from typing import Any

from events.envelope import Actor, Command, Event
from events.refusals import Refusal
from events.show import commands as ask
from events.show import decide_awards as awards
from events.show import decide_divisions as divisions
from events.show import events as happened
from events.show.state import ShowState

PLANS = (frozenset({"office"}), "the office plans a show")
LOOKS_AT_EVIDENCE = (
    frozenset({"office", "steward"}),
    "the office and the steward look at evidence",
)
EVIDENCE = (ask.RecordEvidence, ask.TakeEvidenceBack)


def decide(state: ShowState, command: Command, *, actor: Actor) -> tuple[Event, ...]:
    """The events that the command makes happen; ``()`` when it is so already."""
    roles, rule = LOOKS_AT_EVIDENCE if isinstance(command, EVIDENCE) else PLANS
    if actor.role not in roles:
        raise Refusal(
            "role_not_allowed",
            f"A key with the role {actor.role} may not do this: {rule}.",
            rule=rule,
            role=actor.role,
        )
    if state.planned is None and not isinstance(command, ask.PlanShow):
        raise Refusal("show_not_planned", "The show has not been planned yet.")
    return HANDLERS[type(command)](state, command)


def _plan(state: ShowState, command: ask.PlanShow) -> tuple[Event, ...]:
    for field in ("name", "place", "time_zone"):
        if not getattr(command, field).strip():
            raise Refusal(
                f"{field}_missing", f"A show needs a {field.replace('_', ' ')}.", field=field
            )
    if command.last_day < command.first_day:
        raise Refusal(
            "days_reversed",
            f"The last day, {command.last_day}, comes before the first, {command.first_day}.",
            field="last_day",
        )
    outside = [
        slot
        for slot in state.slots.values()
        if not command.first_day <= slot.day <= command.last_day
    ]
    if outside:
        raise Refusal(
            "slots_outside_show",
            f"Classes are slotted on {', '.join(sorted({str(slot.day) for slot in outside}))}; "
            "slot them on other days first.",
            field="first_day" if outside[0].day < command.first_day else "last_day",
            class_ids=tuple(slot.class_id for slot in outside),
        )
    event = happened.ShowPlanned(
        name=command.name,
        place=command.place,
        time_zone=command.time_zone,
        first_day=command.first_day,
        last_day=command.last_day,
    )
    return () if state.planned == event else (event,)


def _add_ring(state: ShowState, command: ask.AddRing) -> tuple[Event, ...]:
    if not command.ring.strip():
        raise Refusal("ring_missing", "A ring needs a name.", field="ring")
    if command.ring in state.rings:
        return ()
    for other in state.rings:
        if other.casefold() == command.ring.casefold():
            raise Refusal(
                "ring_name_taken",
                f"There is a ring {other} already: one ring, one way to write it.",
                field="ring",
                ring=other,
            )
    return (happened.RingAdded(ring=command.ring),)


def _name_official(state: ShowState, command: ask.NameOfficial) -> tuple[Event, ...]:
    event = happened.OfficialNamed(official=command.official, role=command.role)
    return () if event in state.officials else (event,)


def _adopt_rulebook(state: ShowState, command: ask.AdoptRuleBook) -> tuple[Event, ...]:
    if state.rulebooks.get(command.rulebook.id) == command.rulebook:
        return ()
    return (happened.RuleBookAdopted(rulebook=command.rulebook),)


def _slot(state: ShowState, command: ask.SlotClass) -> tuple[Event, ...]:
    planned = state.planned
    if command.ring not in state.rings:
        rings = ", ".join(state.rings) or "none yet"
        raise Refusal(
            "unknown_ring", f"The show has no ring {command.ring}; it has: {rings}.", field="ring"
        )
    if planned is None or not planned.first_day <= command.day <= planned.last_day:
        raise Refusal("day_outside_show", f"The show is not on {command.day}.", field="day")
    if command.slot < 1:
        raise Refusal("slot_not_positive", "Slots count from 1.", field="slot")
    if command.seconds_a_ride < 1:
        raise Refusal("ride_without_time", "A ride takes time.", field="seconds_a_ride")
    for other in state.running_order(command.ring, command.day):
        if other.slot == command.slot and other.class_id != command.class_id:
            raise Refusal(
                "slot_taken",
                f"Slot {command.slot} of ring {command.ring} on {command.day} is taken.",
                field="slot",
                class_id=other.class_id,
            )
    event = happened.ClassSlotted(
        class_id=command.class_id,
        ring=command.ring,
        day=command.day,
        slot=command.slot,
        not_before=command.not_before,
        seconds_a_ride=command.seconds_a_ride,
    )
    return () if state.slots.get(command.class_id) == event else (event,)


def _give_number(state: ShowState, command: ask.GiveBackNumber) -> tuple[Event, ...]:
    event = happened.BackNumberGiven(
        number=command.number, exhibitor=command.exhibitor, horse=command.horse
    )
    if command.number < 1:
        raise Refusal("back_number_not_positive", "Back numbers count from 1.", field="number")
    held = state.back_numbers.get(command.number)
    if held == event:
        return ()
    if held is not None or command.number in state.spent_numbers:
        raise Refusal(
            "back_number_taken",
            f"Back number {command.number} is carried at this show already, or was.",
            field="number",
            number=command.number,
        )
    for other in state.back_numbers.values():
        if (other.exhibitor, other.horse) == (command.exhibitor, command.horse):
            raise Refusal(
                "back_number_given_already",
                f"They carry back number {other.number} at this show.",
                field="exhibitor",
                number=other.number,
            )
    return (event,)


def _take_number(state: ShowState, command: ask.TakeBackNumber) -> tuple[Event, ...]:
    if command.number not in state.back_numbers:
        return ()
    return (happened.BackNumberTakenBack(number=command.number, reason=command.reason),)


def _set_deadlines(state: ShowState, command: ask.SetDeadlines) -> tuple[Event, ...]:
    for field in ("late_entry", "scratch", "horse_change"):
        if getattr(command, field) < 0:
            raise Refusal("deadline_negative", "Minutes count from 0.", field=field)
    event = happened.DeadlinesSet(
        late_entry=command.late_entry,
        scratch=command.scratch,
        horse_change=command.horse_change,
    )
    return () if state.deadlines == event else (event,)


HANDLERS: Mapping[type[Command], Callable[[ShowState, Any], tuple[Event, ...]]] = {
    ask.PlanShow: _plan,
    ask.AddRing: _add_ring,
    ask.NameOfficial: _name_official,
    ask.AdoptRuleBook: _adopt_rulebook,
    ask.SlotClass: _slot,
    ask.GiveBackNumber: _give_number,
    ask.TakeBackNumber: _take_number,
    ask.SetDeadlines: _set_deadlines,
    ask.DefineDivision: divisions.define,
    ask.DropDivision: divisions.drop,
    ask.SetClassDivisions: divisions.set_of_class,
    ask.RecordEvidence: divisions.record_evidence,
    ask.TakeEvidenceBack: divisions.take_evidence_back,
    ask.DefineAward: awards.define_award,
    ask.DropAward: awards.drop_award,
    ask.SettleTie: awards.settle_tie,
    ask.WithdrawSettlement: awards.withdraw_settlement,
}
