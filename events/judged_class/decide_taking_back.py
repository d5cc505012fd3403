"""Decisions about what a judge takes back before signing: a fact that was not meant so at all."""

from events.envelope import Event
from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.judged_class.decide_cards import ride_of, rider_on_card
from events.judged_class.references import card_of, check_maneuver
from events.judged_class.state import ClassState, Entry, Ride


def withdraw_mark(state: ClassState, command: ask.WithdrawMark) -> tuple[Event, ...]:
    """A mark that stands is taken back; one that does not stand is so already."""
    ride, entry = _ride(state, command.seat, command.ref)
    check_maneuver(state, command.maneuver)
    if command.maneuver not in ride.marks:
        return ()
    event = happened.MarkWithdrawn(seat=command.seat, entry=entry.id, maneuver=command.maneuver)
    return (event,)


def withdraw_penalty(state: ClassState, command: ask.WithdrawPenalty) -> tuple[Event, ...]:
    """A penalty that stands is taken back."""
    ride, entry = _ride(state, command.seat, command.ref)
    if all(known.event.call != command.call for known in ride.penalties):
        return ()
    return (happened.PenaltyWithdrawn(seat=command.seat, entry=entry.id, call=command.call),)


def withdraw_rider_mark(state: ClassState, command: ask.WithdrawRiderMark) -> tuple[Event, ...]:
    """A rider's mark that stands is taken back."""
    ride, entry = _ride(state, command.seat, command.ref)
    if ride.rider_mark is None:
        return ()
    return (happened.RiderMarkWithdrawn(seat=command.seat, entry=entry.id),)


def withdraw_time(state: ClassState, command: ask.WithdrawTime) -> tuple[Event, ...]:
    """A time that stands is taken back."""
    ride, entry = _ride(state, command.seat, command.ref)
    if ride.time is None:
        return ()
    return (happened.TimeWithdrawn(seat=command.seat, entry=entry.id),)


def withdraw_observation(state: ClassState, command: ask.WithdrawObservation) -> tuple[Event, ...]:
    """A noted fault that stands is taken back."""
    ride, entry = _ride(state, command.seat, command.ref)
    if all(known.event.observation != command.observation for known in ride.observations):
        return ()
    event = happened.ObservationWithdrawn(
        seat=command.seat, entry=entry.id, observation=command.observation
    )
    return (event,)


def lift_outcome(state: ClassState, command: ask.LiftOutcome) -> tuple[Event, ...]:
    """An outcome that stands is taken back."""
    ride, entry = _ride(state, command.seat, command.ref)
    if ride.outcome is None:
        return ()
    return (happened.OutcomeLifted(seat=command.seat, entry=entry.id),)


def _ride(state: ClassState, seat: str, ref: ask.EntryRef) -> tuple[Ride, Entry]:
    card = card_of(state, seat)
    entry = rider_on_card(state, ref)
    return ride_of(card, entry), entry
