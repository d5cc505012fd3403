"""How each event moves the state of a class on; nothing here can fail."""

from collections.abc import Callable, Iterable, Mapping
from typing import Any, TypeVar

import msgspec

from events.envelope import Event
from events.judged_class import events as happened
from events.judged_class.events import ClassEvent
from events.judged_class.state import (
    INITIAL,
    Card,
    ClassState,
    Entry,
    Known,
    Phase,
    Protest,
    Ride,
    StandingOrder,
)

E = TypeVar("E", bound=Event)
_EMPTY_RIDE = Ride()
_replace = msgspec.structs.replace


def evolve(state: ClassState, event: ClassEvent) -> ClassState:
    """The state after one more event. Total: an event that fits nothing only counts a version."""
    version = state.version + 1
    return _replace(HANDLERS[type(event)](state, event, version), version=version)


def skip(state: ClassState) -> ClassState:
    """The state after an event that is struck out: its version passes, nothing else happens."""
    return _replace(state, version=state.version + 1)


def fold(events: Iterable[ClassEvent], state: ClassState = INITIAL) -> ClassState:
    """The state after all of ``events``."""
    for event in events:
        state = evolve(state, event)
    return state


# --- setting up ---------------------------------------------------------------------------------


def _scheduled(state: ClassState, event: happened.ClassScheduled, _: int) -> ClassState:
    return _replace(state, scheduled=event, phase="planned")


def _pattern_set(state: ClassState, event: happened.PatternSet, _: int) -> ClassState:
    return _replace(state, pattern=event)


def _judge_seated(state: ClassState, event: happened.JudgeSeated, version: int) -> ClassState:
    seated = state.cards.get(event.seat)
    if seated is None:
        card = Card(seat=event.seat, judge=event.judge, kind=event.kind, version=version)
    else:
        card = _replace(seated, judge=event.judge, kind=event.kind, version=version)
    return _replace(state, cards={**state.cards, event.seat: card})


def _entry_accepted(state: ClassState, event: happened.EntryAccepted, version: int) -> ClassState:
    entry = Entry(
        id=event.entry,
        back_number=event.back_number,
        exhibitor=event.exhibitor,
        horse=event.horse,
        version=version,
    )
    return _replace(state, entries={**state.entries, event.entry: entry})


def _on_entry(state: ClassState, entry: str, **changes: object) -> ClassState:
    known = state.entries.get(entry)
    if known is None:
        return state
    return _replace(state, entries={**state.entries, entry: _replace(known, **changes)})


def _entry_scratched(state: ClassState, event: happened.EntryScratched, version: int) -> ClassState:
    return _on_entry(state, event.entry, scratched=version)


def _draw_set(
    state: ClassState, event: happened.DrawSet | happened.DrawRepaired, _: int
) -> ClassState:
    return _replace(state, draw=event.order)


def _entry_called(state: ClassState, event: happened.EntryCalled, _: int) -> ClassState:
    return _on_entry(state, event.entry, calls=event.call)


def _gate_decided(
    state: ClassState, event: happened.EntryMissedGate | happened.EntryExcused, version: int
) -> ClassState:
    gate = Known[Any](version, event)
    return _replace(_on_entry(state, event.entry, gate=gate), changed_at=version)


# --- cards --------------------------------------------------------------------------------------


def _on_card(
    state: ClassState, seat: str, version: int, change: Callable[[Card], Card]
) -> ClassState:
    card = state.cards.get(seat)
    if card is None:
        return state
    cards = {**state.cards, seat: change(card)}
    if card.kind == "learner":  # a learner's card never moves the class
        return _replace(state, cards=cards)
    phase: Phase = "running" if state.phase == "planned" else state.phase
    return _replace(state, cards=cards, phase=phase, changed_at=version)


def _on_ride(
    state: ClassState, event: happened.RideEvent, version: int, change: Callable[[Ride], Ride]
) -> ClassState:
    def changed(card: Card) -> Card:
        rides = dict(card.rides)
        rides[event.entry] = change(rides.get(event.entry, _EMPTY_RIDE))
        return _replace(card, rides=rides)

    return _on_card(state, event.seat, version, changed)


def _put(ride: Ride, fact: happened.CardFact, version: int) -> Ride:
    match fact:
        case happened.MarkGiven():
            marks = dict(ride.marks)
            marks[fact.maneuver] = Known(version, fact)
            return _replace(ride, marks=marks)
        case happened.PenaltyCalled():
            return _replace(ride, penalties=(*ride.penalties, Known(version, fact)))
        case happened.RiderMarkGiven():
            return _replace(ride, rider_mark=Known(version, fact))
        case happened.OutcomeCalled():
            return _replace(ride, outcome=Known(version, fact))
        case happened.FaultObserved():
            return _replace(ride, observations=(*ride.observations, Known(version, fact)))


def _take(ride: Ride, version: int) -> Ride:
    """The ride without the fact that the event of that version put there."""
    return Ride(
        marks={key: known for key, known in ride.marks.items() if known.version != version},
        penalties=tuple(known for known in ride.penalties if known.version != version),
        rider_mark=_unless(ride.rider_mark, version),
        outcome=_unless(ride.outcome, version),
        observations=tuple(known for known in ride.observations if known.version != version),
    )


def _unless(known: Known[E] | None, version: int) -> Known[E] | None:
    return None if known is None or known.version == version else known


def _fact_put(state: ClassState, event: happened.CardFact, version: int) -> ClassState:
    return _on_ride(state, event, version, lambda ride: _put(ride, event, version))


def _penalty_withdrawn(
    state: ClassState, event: happened.PenaltyWithdrawn, version: int
) -> ClassState:
    def without(ride: Ride) -> Ride:
        left = tuple(known for known in ride.penalties if known.event.call != event.call)
        return _replace(ride, penalties=left)

    return _on_ride(state, event, version, without)


def _outcome_lifted(state: ClassState, event: happened.OutcomeLifted, version: int) -> ClassState:
    return _on_ride(state, event, version, lambda ride: _replace(ride, outcome=None))


def _card_signed(state: ClassState, event: happened.CardSigned, version: int) -> ClassState:
    return _on_card(state, event.seat, version, lambda card: _replace(card, signed=version))


def _card_reopened(state: ClassState, event: happened.CardReopened, version: int) -> ClassState:
    return _on_card(state, event.seat, version, lambda card: _replace(card, signed=None))


def _order_set(state: ClassState, event: happened.OrderSet, version: int) -> ClassState:
    order = StandingOrder(version=version, event=event, basis=event.basis)
    return _on_card(
        state, event.seat, version, lambda card: _replace(card, orders=(*card.orders, order))
    )


def _order_confirmed(state: ClassState, event: happened.OrderConfirmed, version: int) -> ClassState:
    def confirmed(card: Card) -> Card:
        orders = tuple(
            _replace(order, basis=event.basis, confirmed=version)
            if order.event.order_id == event.order_id
            else order
            for order in card.orders
        )
        return _replace(card, orders=orders)

    return _on_card(state, event.seat, version, confirmed)


def _order_withdrawn(state: ClassState, event: happened.OrderWithdrawn, version: int) -> ClassState:
    def without(card: Card) -> Card:
        left = tuple(order for order in card.orders if order.event.order_id != event.order_id)
        return _replace(card, orders=left)

    return _on_card(state, event.seat, version, without)


def _correction_made(state: ClassState, event: happened.CorrectionMade, version: int) -> ClassState:
    def corrected(ride: Ride) -> Ride:
        if event.replaces is not None:
            ride = _take(ride, event.replaces)
        return ride if event.fact is None else _put(ride, event.fact, version)

    made = {**state.corrections, event.correction: Known(version, event)}
    return _replace(_on_ride(state, event, version, corrected), corrections=made)


# --- results and protests -----------------------------------------------------------------------


def _results_posted(state: ClassState, event: happened.ResultsPosted, version: int) -> ClassState:
    return _replace(
        state,
        phase="posted",
        revision=event.revision,
        posted_at=version,
        protests_until=event.protests_until,
    )


def _made_official(state: ClassState, _: happened.ResultsMadeOfficial, __: int) -> ClassState:
    return _replace(state, phase="official", has_been_official=True)


def _reopened(state: ClassState, _: happened.ResultsReopened, __: int) -> ClassState:
    return _replace(state, phase="reopened")


def _protest_filed(state: ClassState, event: happened.ProtestFiled, version: int) -> ClassState:
    protest = Protest(filed=Known(version, event))
    return _replace(state, protests={**state.protests, event.protest: protest})


def _protest_withdrawn(
    state: ClassState, event: happened.ProtestWithdrawn, version: int
) -> ClassState:
    return _on_protest(state, event.protest, withdrawn=version)


def _protest_ruled(state: ClassState, event: happened.ProtestRuled, version: int) -> ClassState:
    return _on_protest(state, event.protest, ruled=Known(version, event))


def _on_protest(state: ClassState, protest: str, **changes: object) -> ClassState:
    known = state.protests.get(protest)
    if known is None:
        return state
    return _replace(state, protests={**state.protests, protest: _replace(known, **changes)})


HANDLERS: Mapping[type[Event], Callable[[ClassState, Any, int], ClassState]] = {
    happened.ClassScheduled: _scheduled,
    happened.PatternSet: _pattern_set,
    happened.JudgeSeated: _judge_seated,
    happened.EntryAccepted: _entry_accepted,
    happened.EntryScratched: _entry_scratched,
    happened.DrawSet: _draw_set,
    happened.DrawRepaired: _draw_set,
    happened.EntryCalled: _entry_called,
    happened.EntryMissedGate: _gate_decided,
    happened.EntryExcused: _gate_decided,
    happened.MarkGiven: _fact_put,
    happened.PenaltyCalled: _fact_put,
    happened.PenaltyWithdrawn: _penalty_withdrawn,
    happened.RiderMarkGiven: _fact_put,
    happened.OutcomeCalled: _fact_put,
    happened.OutcomeLifted: _outcome_lifted,
    happened.FaultObserved: _fact_put,
    happened.CardSigned: _card_signed,
    happened.CardReopened: _card_reopened,
    happened.OrderSet: _order_set,
    happened.OrderConfirmed: _order_confirmed,
    happened.OrderWithdrawn: _order_withdrawn,
    happened.CorrectionMade: _correction_made,
    happened.ResultsPosted: _results_posted,
    happened.ResultsMadeOfficial: _made_official,
    happened.ResultsReopened: _reopened,
    happened.ProtestFiled: _protest_filed,
    happened.ProtestWithdrawn: _protest_withdrawn,
    happened.ProtestRuled: _protest_ruled,
}
