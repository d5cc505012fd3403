"""How the events of a judge's card move the state of a class on; nothing here can fail."""

from collections.abc import Callable, Mapping
from typing import Any, TypeVar

import msgspec

from events.envelope import Event
from events.judged_class import events as happened
from events.judged_class.state import Card, ClassState, Known, Phase, Ride, StandingOrder

E = TypeVar("E", bound=Event)
_EMPTY_RIDE = Ride()
_replace = msgspec.structs.replace


def _with_card(state: ClassState, card: Card, version: int) -> ClassState:
    cards = {**state.cards, card.seat: card}
    if card.kind == "learner":  # a learner's card never moves the class
        return _replace(state, version=version, cards=cards)
    phase: Phase = state.phase
    if phase in {"planned", "running"}:
        # Once everything was taken back, as when it was written in the wrong class, nobody rode.
        begun = card.touched or any(c.touched for c in cards.values() if c.kind != "learner")
        phase = "running" if begun else "planned"
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
    rides = {**card.rides, event.entry: ride}
    if ride == _EMPTY_RIDE:  # once everything was taken back the entry has not been judged
        del rides[event.entry]
    return _with_card(state, _replace(card, rides=rides), version)


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


def _put_time(ride: Ride, fact: happened.TimeGiven, version: int) -> Ride:
    return _replace(ride, time=Known(version, fact))


_PUT: Mapping[type[Event], Callable[[Ride, Any, int], Ride]] = {
    happened.MarkGiven: _put_mark,
    happened.PenaltyCalled: _put_penalty,
    happened.RiderMarkGiven: _put_rider_mark,
    happened.OutcomeCalled: _put_outcome,
    happened.FaultObserved: _put_observation,
    happened.TimeGiven: _put_time,
}


def _fact_put(state: ClassState, event: happened.CardFact, version: int) -> ClassState:
    # A fold is mostly this, so the card is looked up once.
    card = state.cards.get(event.seat)
    if card is None:
        return state
    ride = _PUT[type(event)](card.rides.get(event.entry, _EMPTY_RIDE), event, version)
    return _with_card(state, _replace(card, rides={**card.rides, event.entry: ride}), version)


def take(ride: Ride, version: int) -> Ride:
    """The ride without the fact that the event of that version put there."""
    return Ride(
        marks={key: known for key, known in ride.marks.items() if known.version != version},
        penalties=tuple(known for known in ride.penalties if known.version != version),
        rider_mark=_unless(ride.rider_mark, version),
        outcome=_unless(ride.outcome, version),
        observations=tuple(known for known in ride.observations if known.version != version),
        time=_unless(ride.time, version),
    )


def _unless(known: Known[E] | None, version: int) -> Known[E] | None:
    return None if known is None or known.version == version else known


def _without_mark(ride: Ride, event: happened.MarkWithdrawn) -> Ride:
    marks = {number: known for number, known in ride.marks.items() if number != event.maneuver}
    return _replace(ride, marks=marks)


def _without_penalty(ride: Ride, event: happened.PenaltyWithdrawn) -> Ride:
    left = tuple(known for known in ride.penalties if known.event.call != event.call)
    return _replace(ride, penalties=left)


def _without_observation(ride: Ride, event: happened.ObservationWithdrawn) -> Ride:
    left = tuple(k for k in ride.observations if k.event.observation != event.observation)
    return _replace(ride, observations=left)


_TAKE_BACK: Mapping[type[Event], Callable[[Ride, Any], Ride]] = {
    happened.MarkWithdrawn: _without_mark,
    happened.PenaltyWithdrawn: _without_penalty,
    happened.RiderMarkWithdrawn: lambda ride, _: _replace(ride, rider_mark=None),
    happened.OutcomeLifted: lambda ride, _: _replace(ride, outcome=None),
    happened.ObservationWithdrawn: _without_observation,
    happened.TimeWithdrawn: lambda ride, _: _replace(ride, time=None),
}


def _fact_taken_back(state: ClassState, event: happened.TakenBack, version: int) -> ClassState:
    ride = _TAKE_BACK[type(event)](_ride_of(state, event), event)
    return _with_ride(state, event, ride, version)


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


def _card_placed(state: ClassState, event: happened.CardPlaced, version: int) -> ClassState:
    return _on_card(state, event.seat, version, placed=Known(version, event))


def _card_called_back(
    state: ClassState, event: happened.CardCalledBack, version: int
) -> ClassState:
    return _on_card(state, event.seat, version, called_back=Known(version, event))


CARD_HANDLERS: Mapping[type[Event], Callable[[ClassState, Any, int], ClassState]] = {
    happened.MarkGiven: _fact_put,
    happened.PenaltyCalled: _fact_put,
    happened.RiderMarkGiven: _fact_put,
    happened.OutcomeCalled: _fact_put,
    happened.FaultObserved: _fact_put,
    **dict.fromkeys(_TAKE_BACK, _fact_taken_back),
    happened.CardSigned: _card_signed,
    happened.CardReopened: _card_reopened,
    happened.OrderSet: _order_set,
    happened.OrderConfirmed: _order_confirmed,
    happened.OrderWithdrawn: _order_withdrawn,
    happened.CorrectionMade: _correction_made,
    happened.TimeGiven: _fact_put,
    happened.CardPlaced: _card_placed,
    happened.CardCalledBack: _card_called_back,
}
