"""Everything that stands in a class at a moment, flat: one key a fact."""

from collections.abc import Iterator, Mapping
from typing import Any, Literal

import msgspec

from events.judged_class.state import Card, ClassState, Known, Protest, Ride

FactKind = Literal[
    "schedule",
    "pattern",
    "draw",
    "phase",
    "entry",
    "scratch",
    "gate",
    "seat",
    "mark",
    "penalty",
    "rider_mark",
    "outcome",
    "observation",
    "order",
    "signature",
    "protest",
]


class FactKey(msgspec.Struct, frozen=True, order=True):
    """Where a fact stands: its kind, and the seat, entry and item it belongs to (else empty)."""

    kind: FactKind
    seat: str = ""
    entry: str = ""
    item: str = ""


class StandingFact(msgspec.Struct, frozen=True):
    """What stands there, as plain data, and the version of the event behind it (0: several)."""

    value: object
    version: int


def facts(state: ClassState) -> Mapping[FactKey, StandingFact]:
    """Every fact of the class, by its key."""
    return dict(_all(state))


Pair = tuple[FactKey, StandingFact]


def _all(state: ClassState) -> Iterator[Pair]:
    yield FactKey("phase"), StandingFact([state.phase, state.revision], 0)
    if state.scheduled is not None:
        yield FactKey("schedule"), StandingFact(msgspec.to_builtins(state.scheduled), 0)
    if state.pattern is not None:
        yield FactKey("pattern"), StandingFact(list(state.pattern.maneuvers), 0)
    if state.draw:
        yield FactKey("draw"), StandingFact(list(state.draw), 0)
    yield from _entries(state)
    for card in state.cards.values():
        yield from _card(card)
    for name, protest in state.protests.items():
        yield FactKey("protest", item=name), _protest(protest)


def _entries(state: ClassState) -> Iterator[Pair]:
    for entry in state.entries.values():
        value = {
            "back_number": entry.back_number,
            "exhibitor": entry.exhibitor,
            "horse": entry.horse,
        }
        yield FactKey("entry", entry=entry.id), StandingFact(value, entry.version)
        if entry.scratched is not None:
            yield FactKey("scratch", entry=entry.id), StandingFact(True, entry.scratched)
        if entry.gate is not None:
            yield FactKey("gate", entry=entry.id), _known(entry.gate)


def _card(card: Card) -> Iterator[Pair]:
    yield (
        FactKey("seat", card.seat),
        StandingFact({"judge": card.judge, "kind": card.kind}, card.version),
    )
    if card.signed is not None:
        yield FactKey("signature", card.seat), StandingFact(True, card.signed)
    for order in card.orders:
        value = msgspec.to_builtins(
            {"by": order.event.by, "order": order.event.order, "basis": order.basis}
        )
        version = order.confirmed or order.version
        yield FactKey("order", card.seat, "", order.event.order_id), StandingFact(value, version)
    for entry, ride in card.rides.items():
        yield from _ride(card.seat, entry, ride)


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


def _known(known: Known[Any]) -> StandingFact:
    value = msgspec.to_builtins(known.event)
    told = value["type"]
    kept = {key: part for key, part in value.items() if key not in {"type", "seat", "entry"}}
    return StandingFact({"as": told, **kept}, known.version)


def _protest(protest: Protest) -> StandingFact:
    ends = {
        "filed": msgspec.to_builtins(protest.filed.event),
        "withdrawn": protest.withdrawn is not None,
        "ruled": msgspec.to_builtins(protest.ruled.event) if protest.ruled else None,
    }
    ruled = protest.ruled.version if protest.ruled else None
    return StandingFact(ends, protest.withdrawn or ruled or protest.filed.version)
