"""Decisions about what stands on a card."""

from typing import assert_never

from events.envelope import Event
from events.half_points import HalfPoints, to_text
from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.judged_class.decide_unscored import check_judging, time_of
from events.judged_class.references import card_of, check_maneuver, running_entry
from events.judged_class.state import Card, ClassState, Entry, Ride
from events.refusals import Refusal
from events.rulebook.model import GradedPenalty, MarkRange, RuleBook

_EMPTY = Ride()


def give_fact(state: ClassState, command: ask.FactCommand, rulebook: RuleBook) -> tuple[Event, ...]:
    """A fact is put on the card, unless the very same already stands there."""
    card = card_of(state, command.seat)
    entry = rider_on_card(state, command.ref)
    fact = fact_of(state, command, entry, rulebook)
    return () if stands(ride_of(card, entry), fact) else (fact,)


def rider_on_card(state: ClassState, ref: ask.EntryRef, field: str = "entry") -> Entry:
    """The running entry meant, which has its place in the draw."""
    entry = running_entry(state, ref, field)
    if entry.id not in state.draw:
        raise Refusal(
            "entry_not_drawn",
            f"Back number {entry.back_number} is not in the draw; set or repair the draw first.",
            field=field,
            entry=entry.id,
        )
    return entry


def ride_of(card: Card, entry: Entry) -> Ride:
    """What stands on the card for the entry."""
    return card.rides.get(entry.id, _EMPTY)


def fact_of(
    state: ClassState, command: ask.FactCommand, entry: Entry, rulebook: RuleBook
) -> happened.CardFact:
    """The fact that the command asks for, once it fits the pattern and the rule book."""
    match command:
        case ask.GiveMark():
            return _mark(state, command, entry, rulebook)
        case ask.CallPenalty():
            return _penalty(state, command, entry, rulebook)
        case ask.GiveRiderMark():
            return _rider_mark(command, entry, rulebook)
        case ask.CallOutcome():
            return _outcome(state, command, entry, rulebook)
        case ask.ObserveFault():
            return _observation(state, command, entry, rulebook)
        case ask.GiveTime():
            return time_of(command, entry, rulebook)
        case _:
            assert_never(command)


def stands(ride: Ride, fact: happened.CardFact) -> bool:
    """Whether the very same fact is already on the card."""
    match fact:
        case happened.MarkGiven():
            known = ride.marks.get(fact.maneuver)
            return known is not None and known.event == fact
        case happened.PenaltyCalled():
            return _same_call(ride, fact)
        case happened.RiderMarkGiven():
            return ride.rider_mark is not None and ride.rider_mark.event == fact
        case happened.OutcomeCalled():
            return ride.outcome is not None and ride.outcome.event == fact
        case happened.FaultObserved():
            return _same_observation(ride, fact)
        case happened.TimeGiven():
            return ride.time is not None and ride.time.event == fact
        case _:
            assert_never(fact)


def _same_call(ride: Ride, fact: happened.PenaltyCalled) -> bool:
    for known in ride.penalties:
        if known.event == fact:
            return True
        if known.event.call == fact.call:
            raise Refusal(
                "call_id_taken",
                "That call id belongs to another penalty of this ride.",
                field="call",
                call=fact.call,
            )
    return False


def _same_observation(ride: Ride, fact: happened.FaultObserved) -> bool:
    for known in ride.observations:
        if known.event == fact:
            return True
        if known.event.observation == fact.observation:
            raise Refusal(
                "observation_id_taken",
                "That observation id belongs to another observation of this ride.",
                field="observation",
                observation=fact.observation,
            )
    return False


def _mark(
    state: ClassState, command: ask.GiveMark, entry: Entry, rulebook: RuleBook
) -> happened.MarkGiven:
    check_judging(rulebook, "scored", "marks")
    check_maneuver(state, command.maneuver)
    _check_range(rulebook, rulebook.scale.mark, command.mark, "mark")
    if command.performed is not None:
        cap = rulebook.cap(command.performed)
        if cap is None:
            raise Refusal(
                "unknown_cap",
                f"The rule book has no lesser way of performing named {command.performed}.",
                field="performed",
                performed=command.performed,
            )
        if command.mark > cap.highest:
            raise Refusal(
                "mark_above_cap",
                f"{_signed(command.mark)} is more than {_signed(cap.highest)}, the most for: "
                f"{cap.wording}.",
                field="mark",
                rule=f"{rulebook.id} {rulebook.edition}, caps, {cap.code}",
                highest=_signed(cap.highest),
            )
    return happened.MarkGiven(
        seat=command.seat,
        entry=entry.id,
        maneuver=command.maneuver,
        mark=command.mark,
        performed=command.performed,
    )


def _penalty(
    state: ClassState, command: ask.CallPenalty, entry: Entry, rulebook: RuleBook
) -> happened.PenaltyCalled:
    check_judging(rulebook, "scored", "penalty points")
    if command.maneuver is not None:
        check_maneuver(state, command.maneuver)
    points = (
        _points_by_code(command, rulebook) if command.code else _points_by_size(command, rulebook)
    )
    return happened.PenaltyCalled(
        seat=command.seat,
        entry=entry.id,
        call=command.call,
        points=points,
        code=command.code,
        maneuver=command.maneuver,
    )


def _points_by_code(command: ask.CallPenalty, rulebook: RuleBook) -> HalfPoints:
    penalty = rulebook.penalty(command.code or "")
    rule = f"{rulebook.id} {rulebook.edition}, penalties, {command.code}"
    if penalty is None:
        raise Refusal(
            "unknown_penalty",
            f"The rule book has no penalty with the code {command.code}.",
            field="code",
            code_given=command.code,
        )
    if isinstance(penalty, GradedPenalty):
        if command.points is None or command.points not in range(
            penalty.lowest, penalty.highest + 1, penalty.step
        ):
            raise Refusal(
                "penalty_out_of_range",
                f"For {penalty.wording} the judge takes off {to_text(penalty.lowest)} to "
                f"{to_text(penalty.highest)} points in steps of {to_text(penalty.step)}.",
                field="points",
                rule=rule,
            )
        return command.points
    if command.points is None or command.points == penalty.points:
        return penalty.points
    raise Refusal(
        "penalty_points_disagree",
        f"{penalty.wording} costs {to_text(penalty.points)} points, not {to_text(command.points)}.",
        field="points",
        rule=rule,
    )


def _points_by_size(command: ask.CallPenalty, rulebook: RuleBook) -> HalfPoints:
    if command.points is None:
        raise Refusal(
            "penalty_not_named", "Name the penalty by its code or its points.", field="points"
        )
    if not rulebook.allows_size(command.points):
        sizes = ", ".join(map(to_text, rulebook.sizes)) or "none"
        raise Refusal(
            "unknown_penalty_size",
            f"The rule book has no penalty of {to_text(command.points)} points; it has: {sizes}.",
            field="points",
            rule=f"{rulebook.id} {rulebook.edition}, penalties",
        )
    return command.points


def _rider_mark(
    command: ask.GiveRiderMark, entry: Entry, rulebook: RuleBook
) -> happened.RiderMarkGiven:
    check_judging(rulebook, "scored", "rider marks")
    scale = rulebook.scale.rider_mark
    if scale is None:
        raise Refusal(
            "no_rider_mark",
            f"The rule book {rulebook.title} has no mark for the rider.",
            field="mark",
            rule=f"{rulebook.id} {rulebook.edition}, scale",
        )
    _check_range(rulebook, scale, command.mark, "mark")
    return happened.RiderMarkGiven(seat=command.seat, entry=entry.id, mark=command.mark)


def _outcome(
    state: ClassState, command: ask.CallOutcome, entry: Entry, rulebook: RuleBook
) -> happened.OutcomeCalled:
    if rulebook.outcome(command.kind) is None:
        raise Refusal(
            "outcome_not_in_rule_book",
            f"The rule book {rulebook.title} does not know the outcome "
            f"{command.kind.replace('_', ' ')}.",
            field="kind",
            rule=f"{rulebook.id} {rulebook.edition}, outcomes",
            kind=command.kind,
        )
    if command.maneuver is not None:
        check_maneuver(state, command.maneuver)
    return happened.OutcomeCalled(
        seat=command.seat,
        entry=entry.id,
        kind=command.kind,
        maneuver=command.maneuver,
        reason=command.reason,
    )


def _observation(
    state: ClassState, command: ask.ObserveFault, entry: Entry, rulebook: RuleBook
) -> happened.FaultObserved:
    if all(fault.code != command.code for fault in rulebook.faults):
        raise Refusal(
            "unknown_fault",
            f"The rule book has no fault with the code {command.code}.",
            field="code",
            code_given=command.code,
        )
    if command.maneuver is not None:
        check_maneuver(state, command.maneuver)
    return happened.FaultObserved(
        seat=command.seat,
        entry=entry.id,
        observation=command.observation,
        code=command.code,
        maneuver=command.maneuver,
        note=command.note,
    )


def _check_range(rulebook: RuleBook, allowed: MarkRange, mark: HalfPoints, field: str) -> None:
    if not allowed.holds(mark):
        raise Refusal(
            "mark_out_of_range",
            f"{_signed(mark)} is not a mark of this rule book: {_signed(allowed.lowest)} to "
            f"{_signed(allowed.highest)} in steps of {to_text(allowed.step)}.",
            field=field,
            rule=f"{rulebook.id} {rulebook.edition}, scale",
        )


def _signed(mark: HalfPoints) -> str:
    return to_text(mark, signed=True)
