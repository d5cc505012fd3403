"""The kinds of judge actions: what each carries, and the command that it is to the core."""

from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

from marshmallow import Schema

from events.envelope import Command
from events.judged_class import commands as ask
from events.judged_class.commands import EntryRef, FactCommand
from service.http.action_fields import (
    CallBackFields,
    CallFields,
    GateCallFields,
    GivenReasonFields,
    HorseFields,
    MarkFields,
    NoFields,
    ObservationFields,
    OrderFields,
    OrderIdFields,
    OutcomeFields,
    PenaltyFields,
    PlaceFields,
    ReadmissionFields,
    ReasonFields,
    ReinstatementFields,
    RiderMarkFields,
    TimeFields,
    WhichManeuverFields,
    WhichObservationFields,
)


class Whereabouts(NamedTuple):
    """What an action is about, besides its own fields, and the id of the action itself."""

    seat: str
    ref: EntryRef
    own_id: str


class Kind(NamedTuple):
    """One kind of action; ``about`` says whether it names a seat, an entry, or both."""

    fields: type[Schema]
    about: frozenset[str]
    command: Callable[[Whereabouts, dict[str, Any]], Command]
    says: str


def _mark(at: Whereabouts, given: dict[str, Any]) -> ask.GiveMark:
    return ask.GiveMark(seat=at.seat, ref=at.ref, **given)


def _penalty(at: Whereabouts, given: dict[str, Any]) -> ask.CallPenalty:
    return ask.CallPenalty(seat=at.seat, ref=at.ref, **{"call": at.own_id, **given})


def _rider_mark(at: Whereabouts, given: dict[str, Any]) -> ask.GiveRiderMark:
    return ask.GiveRiderMark(seat=at.seat, ref=at.ref, **given)


def _outcome(at: Whereabouts, given: dict[str, Any]) -> ask.CallOutcome:
    return ask.CallOutcome(seat=at.seat, ref=at.ref, kind=given.pop("outcome"), **given)


def _observation(at: Whereabouts, given: dict[str, Any]) -> ask.ObserveFault:
    return ask.ObserveFault(seat=at.seat, ref=at.ref, **{"observation": at.own_id, **given})


def _order(at: Whereabouts, given: dict[str, Any]) -> ask.SetOrder:
    order = _refs(given.pop("order"))
    return ask.SetOrder(seat=at.seat, order=order, **{"order_id": at.own_id, **given})


def _time(at: Whereabouts, given: dict[str, Any]) -> ask.GiveTime:
    return ask.GiveTime(seat=at.seat, ref=at.ref, **given)


def _place(at: Whereabouts, given: dict[str, Any]) -> ask.PlaceCard:
    return ask.PlaceCard(seat=at.seat, order=_refs(given.pop("order")), **given)


def _call_back(at: Whereabouts, given: dict[str, Any]) -> ask.CallBack:
    return ask.CallBack(seat=at.seat, entries=_refs(given["entries"]))


def _refs(named: list[dict[str, Any]]) -> tuple[EntryRef, ...]:
    return tuple(EntryRef(**each) for each in named)


_RIDE = frozenset({"seat", "entry"})
_SEAT = frozenset({"seat"})
_ENTRY = frozenset({"entry"})

FACTS: Mapping[str, Kind] = {
    "mark": Kind(MarkFields, _RIDE, _mark, "A maneuver is marked."),
    "penalty": Kind(PenaltyFields, _RIDE, _penalty, "One occurrence of a fault is penalised."),
    "rider_mark": Kind(RiderMarkFields, _RIDE, _rider_mark, "The rider's own mark is given."),
    "outcome": Kind(
        OutcomeFields, _RIDE, _outcome, "A ride is called something other than a normal score."
    ),
    "observe": Kind(
        ObservationFields, _RIDE, _observation, "A fault of position or performance is noted."
    ),
    "time": Kind(TimeFields, _RIDE, _time, "A ride is given its time."),
}
"""What may stand on a card, and so be put there by a correction too."""

KINDS: Mapping[str, Kind] = {
    **FACTS,
    "withdraw_penalty": Kind(
        CallFields,
        _RIDE,
        lambda at, given: ask.WithdrawPenalty(seat=at.seat, ref=at.ref, **given),
        "One penalty is taken back.",
    ),
    "lift_outcome": Kind(
        NoFields,
        _RIDE,
        lambda at, _: ask.LiftOutcome(seat=at.seat, ref=at.ref),
        "An outcome is taken back.",
    ),
    "withdraw_mark": Kind(
        WhichManeuverFields,
        _RIDE,
        lambda at, given: ask.WithdrawMark(seat=at.seat, ref=at.ref, **given),
        "The mark of a maneuver is taken back, as one that was meant for another entry.",
    ),
    "withdraw_rider_mark": Kind(
        NoFields,
        _RIDE,
        lambda at, _: ask.WithdrawRiderMark(seat=at.seat, ref=at.ref),
        "The rider's own mark is taken back.",
    ),
    "withdraw_observation": Kind(
        WhichObservationFields,
        _RIDE,
        lambda at, given: ask.WithdrawObservation(seat=at.seat, ref=at.ref, **given),
        "One noted fault is taken back.",
    ),
    "withdraw_time": Kind(
        NoFields,
        _RIDE,
        lambda at, _: ask.WithdrawTime(seat=at.seat, ref=at.ref),
        "A ride's time is taken back.",
    ),
    "order": Kind(OrderFields, _SEAT, _order, "Entries are put in order."),
    "confirm_order": Kind(
        OrderIdFields,
        _SEAT,
        lambda at, given: ask.ConfirmOrder(seat=at.seat, **given),
        "An order stands although totals under it have moved.",
    ),
    "withdraw_order": Kind(
        OrderIdFields,
        _SEAT,
        lambda at, given: ask.WithdrawOrder(seat=at.seat, **given),
        "An order is taken back.",
    ),
    "place": Kind(PlaceFields, _SEAT, _place, "Entries are placed without scores."),
    "call_back": Kind(
        CallBackFields, _SEAT, _call_back, "The entries to see again in the next round are named."
    ),
    "sign": Kind(
        NoFields, _SEAT, lambda at, _: ask.SignCard(seat=at.seat), "The judge signs the card."
    ),
    "call": Kind(
        GateCallFields,
        _ENTRY,
        lambda at, given: ask.CallEntry(ref=at.ref, **given),
        "An entry is called to the gate.",
    ),
    "missed_gate": Kind(
        NoFields,
        _ENTRY,
        lambda at, _: ask.RecordMissedGate(ref=at.ref),
        "An entry did not come when called.",
    ),
    "excuse": Kind(
        ReasonFields,
        _ENTRY,
        lambda at, given: ask.ExcuseEntry(ref=at.ref, **given),
        "An entry is let out of the class, or sent out.",
    ),
    "readmit": Kind(
        ReadmissionFields,
        _ENTRY,
        lambda at, given: ask.ReadmitEntry(ref=at.ref, **given),
        "A missed gate or an excuse was wrong: the entry stands as it did before.",
    ),
    "reinstate": Kind(
        ReinstatementFields,
        _ENTRY,
        lambda at, given: ask.ReinstateEntry(ref=at.ref, **given),
        "A scratch is undone.",
    ),
    "out_of_order": Kind(
        NoFields,
        _ENTRY,
        lambda at, _: ask.RecordOutOfOrder(ref=at.ref),
        "An entry rode when it was another's turn.",
    ),
    "reride": Kind(
        GivenReasonFields,
        _ENTRY,
        lambda at, given: ask.GrantReride(ref=at.ref, **given),
        "An entry rides again, its first ride no longer counting.",
    ),
    "change_horse": Kind(
        HorseFields,
        _ENTRY,
        lambda at, given: ask.ChangeHorse(ref=at.ref, **given),
        "An exhibitor rides another horse than entered.",
    ),
    "scratch": Kind(
        ReasonFields,
        _ENTRY,
        lambda at, given: ask.ScratchEntry(ref=at.ref, **given),
        "An entry is taken out before it is judged.",
    ),
}
"""Every kind of action, in the words that a request uses."""


def fact_command(at: Whereabouts, kind: str, given: dict[str, Any]) -> FactCommand:
    """The command for something that stands on a card."""
    command = FACTS[kind].command(at, given)
    assert isinstance(command, FactCommand)  # noqa: S101 - every kind of fact makes one
    return command
