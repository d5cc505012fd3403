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
    moved = HANDLERS[type(event)](state, event, version)
    # The handlers of cards set the version along with the rest: a fold is mostly these.
    return moved if moved.version == version else _replace(moved, version=version)


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


def _with_card(state: ClassState, card: Card, version: int) -> ClassState:
    cards = {**state.cards, card.seat: card}
    if card.kind == "learner":  # a learner's card never moves the class
        return _replace(state, version=version, cards=cards)
    phase: Phase = "running" if state.phase == "planned" else state.phase
    return _replace(state, version=version, cards=cards, phase=phase, changed_at=version)


def _ride_of(state: ClassState, event: happened.RideEvent) -> Ride:
    card = state.cards.get(event.seat)
    return _EMPTY_RIDE if card is None else card.rides.get(event.entry, _EMPTY_RIDE)


def _with_ride(
    state: ClassState, event: happened.RideEvent, ride: Ride, version: int
) -> ClassState:
    card = state.cards.get(event.seat)
    if card is None:
        return state
    return _with_card(state, _replace(card, rides={**card.rides, event.entry: ride}), version)


def _put_mark(ride: Ride, fact: happened.MarkGiven, version: int) -> Ride:
    return _replace(ride, marks={**ride.marks, fact.maneuver: Known(version, fact)})


def _put_penalty(ride: Ride, fact: happened.PenaltyCalled, version: int) -> Ride:
    return _replace(ride, penalties=(*ride.penalties, Known(version, fact)))


def _put_rider_mark(ride: Ride, fact: happened.RiderMarkGiven, version: int) -> Ride:
    return _replace(ride, rider_mark=Known(version, fact))


def _put_outcome(ride: Ride, fact: happened.OutcomeCalled, version: int) -> Ride:
    return _replace(ride, outcome=Known(version, fact))


def _put_observation(ride: Ride, fact: happened.FaultObserved, version: int) -> Ride:
    return _replace(ride, observations=(*ride.observations, Known(version, fact)))


_PUT: Mapping[type[Event], Callable[[Ride, Any, int], Ride]] = {
    happened.MarkGiven: _put_mark,
    happened.PenaltyCalled: _put_penalty,
    happened.RiderMarkGiven: _put_rider_mark,
    happened.OutcomeCalled: _put_outcome,
    happened.FaultObserved: _put_observation,
}


def _fact_put(state: ClassState, event: happened.CardFact, version: int) -> ClassState:
    ride = _PUT[type(event)](_ride_of(state, event), event, version)
    return _with_ride(state, event, ride, version)


def take(ride: Ride, version: int) -> Ride:
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


def _penalty_withdrawn(
    state: ClassState, event: happened.PenaltyWithdrawn, version: int
) -> ClassState:
    ride = _ride_of(state, event)
    left = tuple(known for known in ride.penalties if known.event.call != event.call)
    return _with_ride(state, event, _replace(ride, penalties=left), version)


def _outcome_lifted(state: ClassState, event: happened.OutcomeLifted, version: int) -> ClassState:
    return _with_ride(state, event, _replace(_ride_of(state, event), outcome=None), version)


def _correction_made(state: ClassState, event: happened.CorrectionMade, version: int) -> ClassState:
    ride = _ride_of(state, event)
    if event.replaces is not None:
        ride = take(ride, event.replaces)
    if event.fact is not None:
        ride = _PUT[type(event.fact)](ride, event.fact, version)
    made = {**state.corrections, event.correction: Known(version, event)}
    return _replace(_with_ride(state, event, ride, version), corrections=made)


def _on_card(state: ClassState, seat: str, version: int, **changes: object) -> ClassState:
    card = state.cards.get(seat)
    return state if card is None else _with_card(state, _replace(card, **changes), version)


def _orders(state: ClassState, seat: str) -> tuple[StandingOrder, ...]:
    card = state.cards.get(seat)
    return () if card is None else card.orders


def _card_signed(state: ClassState, event: happened.CardSigned, version: int) -> ClassState:
    return _on_card(state, event.seat, version, signed=version)


def _card_reopened(state: ClassState, event: happened.CardReopened, version: int) -> ClassState:
    return _on_card(state, event.seat, version, signed=None)


def _order_set(state: ClassState, event: happened.OrderSet, version: int) -> ClassState:
    order = StandingOrder(version=version, event=event, basis=event.basis)
    orders = (*_orders(state, event.seat), order)
    return _on_card(state, event.seat, version, orders=orders)


def _order_confirmed(state: ClassState, event: happened.OrderConfirmed, version: int) -> ClassState:
    orders = tuple(
        _replace(order, basis=event.basis, confirmed=version)
        if order.event.order_id == event.order_id
        else order
        for order in _orders(state, event.seat)
    )
    return _on_card(state, event.seat, version, orders=orders)


def _order_withdrawn(state: ClassState, event: happened.OrderWithdrawn, version: int) -> ClassState:
    orders = tuple(
        order for order in _orders(state, event.seat) if order.event.order_id != event.order_id
    )
    return _on_card(state, event.seat, version, orders=orders)


# --- results and protests -----------------------------------------------------------------------


def _results_posted(state: ClassState, event: happened.ResultsPosted, version: int) -> ClassState:
    return _replace(
        state,
        phase="posted",
        revision=event.revision,
        posted_at=version,
        protests_until=event.protests_until,
    )


def _made_official(state: ClassState, _: happened.ResultsMadeOfficial, version: int) -> ClassState:
    return _replace(state, phase="official", official_at=version)


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
