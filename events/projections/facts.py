"""Everything that stands in a class at a moment, flat: one key a fact."""

from collections.abc import Iterator, Mapping
from itertools import chain
from typing import Any, Literal

import msgspec

from events.envelope import Event
from events.judged_class.state import Card, ClassState, Entry, Known, Protest, Ride

FactKind = Literal[
    "schedule",
    "pattern",
    "draw",
    "sections",
    "phase",
    "entry",
    "horse",
    "scratch",
    "calls",
    "gate",
    "seat",
    "mark",
    "penalty",
    "rider_mark",
    "outcome",
    "observation",
    "order",
    "time",
    "placing",
    "call_backs",
    "run_off",
    "cut",
    "contest_cuts",
    "combined",
    "out_of_order",
    "signature",
    "protest",
]


_NO_RIDE = Ride()


class FactKey(msgspec.Struct, frozen=True, order=True):
    """Where a fact stands: its kind, and the seat, entry and item it belongs to (else empty)."""

    kind: FactKind
    seat: str = ""
    entry: str = ""
    item: str = ""


class StandingFact(msgspec.Struct, frozen=True):
    """What stands there, as plain data, and the version of the event that put it there.

    The version is ``None`` where the state does not keep it: for facts of the class as a whole and
    for calls to the gate.
    """

    value: object
    version: int | None


Pair = tuple[FactKey, StandingFact]


def facts(state: ClassState) -> Mapping[FactKey, StandingFact]:
    """Every fact of the class, by its key."""
    parts = [
        _class(state),
        *(_entry(entry) for entry in state.entries.values()),
        *(_card(card) for card in state.cards.values()),
        *(
            _ride(card.seat, entry, ride)
            for card in state.cards.values()
            for entry, ride in card.rides.items()
        ),
        *(_protest(name, protest) for name, protest in state.protests.items()),
    ]
    return dict(chain.from_iterable(parts))


def fact(state: ClassState, key: FactKey) -> StandingFact | None:
    """The one fact of that key, or ``None`` while there is none; found without the others."""
    return dict(_around(state, key)).get(key)


def _around(state: ClassState, key: FactKey) -> Iterator[Pair]:
    """The facts of the part of the class that the key belongs to."""
    if key.kind == "protest":
        protest = state.protests.get(key.item)
        return _protest(key.item, protest) if protest else iter(())
    if key.seat:
        card = state.cards.get(key.seat)
        if card is None:
            return iter(())
        return (
            _ride(key.seat, key.entry, card.rides.get(key.entry, _NO_RIDE))
            if key.entry
            else (_card(card))
        )
    if key.entry:
        entry = state.entries.get(key.entry)
        return _entry(entry) if entry else iter(())
    return _class(state)


def _class(state: ClassState) -> Iterator[Pair]:
    phase = {
        "phase": state.phase,
        "revision": state.revision,
        "protests_until": msgspec.to_builtins(state.protests_until),
    }
    if state.cancelled is not None:
        phase["into"] = state.cancelled.into
    yield FactKey("phase"), StandingFact(phase, None)
    if state.scheduled is not None:
        yield FactKey("schedule"), StandingFact(_plain(state.scheduled), None)
    if state.pattern is not None:
        yield FactKey("pattern"), StandingFact(_plain(state.pattern), None)
    if state.draw:
        yield FactKey("draw"), StandingFact(state.draw, None)
    if state.sections:
        yield FactKey("sections"), StandingFact(state.sections, None)
    for number, run_off in enumerate(state.run_offs, start=1):
        yield FactKey("run_off", item=str(number)), _known(run_off)
    if state.contest_cuts:
        yield FactKey("contest_cuts"), StandingFact(state.contest_cuts, None)
    if state.cut is not None:
        yield FactKey("cut"), _known(state.cut)
    for combined in state.combined:
        yield FactKey("combined", item=combined.event.other), _known(combined)


def _entry(entry: Entry) -> Iterator[Pair]:
    value = {
        "back_number": entry.back_number,
        "exhibitor": entry.exhibitor,
        "divisions": entry.divisions,
        "carried": entry.carried,
        "late": entry.late,
    }
    last = max(entry.version, entry.carried_at or 0, entry.divided_at or 0)
    yield FactKey("entry", entry=entry.id), StandingFact(value, last)
    if entry.horse is not None:  # another may have taken the place of the one it was entered with
        yield FactKey("horse", entry=entry.id), StandingFact(entry.horse, None)
    if entry.out_of_order:
        yield FactKey("out_of_order", entry=entry.id), StandingFact(True, None)
    if entry.calls:
        yield FactKey("calls", entry=entry.id), StandingFact(entry.calls, None)
    if entry.scratched is not None:
        yield FactKey("scratch", entry=entry.id), StandingFact(True, entry.scratched)
    if entry.gate is not None:
        yield FactKey("gate", entry=entry.id), _known(entry.gate)


def _card(card: Card) -> Iterator[Pair]:
    seat: dict[str, object] = {"judge": card.judge, "kind": card.kind}
    if card.before:
        seat["before"] = tuple(judge for judge, _ in card.before)
    yield FactKey("seat", card.seat), StandingFact(seat, card.version)
    if card.signed is not None:
        yield FactKey("signature", card.seat), StandingFact(True, card.signed)
    if card.placed is not None:
        yield FactKey("placing", card.seat), _known(card.placed)
    if card.called_back is not None:
        yield FactKey("call_backs", card.seat), _known(card.called_back)
    for order in card.orders:
        value = msgspec.to_builtins(
            {"by": order.event.by, "order": order.event.order, "basis": order.basis}
        )
        version = order.confirmed or order.version
        yield FactKey("order", card.seat, "", order.event.order_id), StandingFact(value, version)


def _ride(seat: str, entry: str, ride: Ride) -> Iterator[Pair]:
    for number, mark in ride.marks.items():
        yield FactKey("mark", seat, entry, str(number)), _known(mark)
    for penalty in ride.penalties:
        yield FactKey("penalty", seat, entry, penalty.event.call), _known(penalty)
    for seen in ride.observations:
        yield FactKey("observation", seat, entry, seen.event.observation), _known(seen)
    if ride.rider_mark is not None:
        yield FactKey("rider_mark", seat, entry), _known(ride.rider_mark)
    if ride.outcome is not None:
        yield FactKey("outcome", seat, entry), _known(ride.outcome)
    if ride.time is not None:
        yield FactKey("time", seat, entry), _known(ride.time)


def _known(known: Known[Any]) -> StandingFact:
    value = {"as": str(known.event.__struct_config__.tag), **_plain(known.event)}
    kept = {key: part for key, part in value.items() if key not in {"seat", "entry"}}
    return StandingFact(kept, known.version)


def _protest(name: str, protest: Protest) -> Iterator[Pair]:
    value = {
        "filed": _plain(protest.filed.event),
        "withdrawn": protest.withdrawn is not None,
        "ruled": _plain(protest.ruled.event) if protest.ruled else None,
    }
    ruled = protest.ruled.version if protest.ruled else None
    version = protest.withdrawn or ruled or protest.filed.version
    yield FactKey("protest", item=name), StandingFact(value, version)


def _plain(event: Event) -> dict[str, Any]:
    """The event's own words as plain data, without its stored tag."""
    value: dict[str, Any] = msgspec.to_builtins(event)
    del value["type"]
    return value
