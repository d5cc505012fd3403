"""A drawn working order repaired so that riders and horses have time between their rides.

AHA, AEPA Class: Establishing 'Order of Go' (studylib.net/doc/7137554): a random first order; then
first and second ride of a rider are looked at before the third; try to move a horse forward, then
one backward, then horses both forward and backward, without a new problem for another rider. What
these steps cannot clear is searched for among all orders, which is our rule, so that an order is
called impossible only when it is.
"""

from collections.abc import Iterator, Mapping, Sequence
from itertools import product
from typing import Literal

import msgspec

from events.scoring.draw_clashes import (
    Clash,
    Party,
    Ride,
    SpacingLimits,
    clashes,
    close_pairs,
    positions,
)
from events.scoring.draw_search import search

MOST_TRIES = 20_000
"""How many rides a search sets before it is given up."""

_REACH = 12
"""How far both rides of a clash are moved at most; a search goes further."""


class Move(msgspec.Struct, frozen=True, kw_only=True):
    """One entry's working-order number before and after."""

    entry: str
    before: int
    after: int


class Repair(msgspec.Struct, frozen=True, kw_only=True):
    """One step of the repair: what it cleared, how, and every entry that it moved.

    ``moved`` are those it set out to move; the others made way.
    """

    step: Literal["forward", "backward", "both", "search"]
    clears: Clash
    moved: tuple[str, ...]
    moves: tuple[Move, ...]


class Spacing(msgspec.Struct, frozen=True, kw_only=True):
    """A working order after its repairs.

    ``clear`` has no clashes left. ``too_many_rides`` and ``impossible`` are certain, ``not_found``
    is not; ``why`` says so in a sentence, and ``left`` are the clashes of the best order there is.
    """

    verdict: Literal["clear", "too_many_rides", "impossible", "not_found"]
    order: tuple[str, ...]
    repairs: tuple[Repair, ...] = ()
    left: tuple[Clash, ...] = ()
    why: str | None = None


def space_draw(
    drawn: Sequence[Ride], limits: SpacingLimits, *, most_tries: int = MOST_TRIES
) -> Spacing:
    """The drawn order with every clash repaired that can be; nothing is left to chance."""
    too_many = _too_many_rides(drawn, limits)
    if too_many:
        return Spacing(
            verdict="too_many_rides",
            order=_entries(drawn),
            left=clashes(drawn, limits),
            why=too_many,
        )
    order, repairs = _by_the_steps(list(drawn), limits)
    left = clashes(order, limits)
    if not left:
        return Spacing(verdict="clear", order=_entries(order), repairs=tuple(repairs))
    other = search(order, limits, most_tries=most_tries)
    if other.found == "order":
        last = _repair("search", left[0], (), order, other.order)
        return Spacing(verdict="clear", order=_entries(other.order), repairs=(*repairs, last))
    return Spacing(
        verdict="impossible" if other.found == "none" else "not_found",
        order=_entries(order),
        repairs=tuple(repairs),
        left=left,
        why=_short_of_places(drawn, limits)
        or (
            f"No order of these {len(drawn)} rides keeps everybody apart."
            if other.found == "none"
            else f"No order was found in {most_tries} tries; there may be one."
        ),
    )


def _entries(order: Sequence[Ride]) -> tuple[str, ...]:
    return tuple(ride.entry for ride in order)


def _too_many_rides(order: Sequence[Ride], limits: SpacingLimits) -> str | None:
    for (kind, name), places in positions(order).items():
        if kind == "rider" and limits.most_rides is not None and len(places) > limits.most_rides:
            return f"Rider {name} has {len(places)} rides; {limits.most_rides} are allowed."
    return None


def _short_of_places(order: Sequence[Ride], limits: SpacingLimits) -> str | None:
    for (kind, name), places in positions(order).items():
        gaps = sum(limits.wanted((kind, name), ride) for ride in range(1, len(places)))
        needed = len(places) + gaps
        if needed > len(order):
            return (
                f"{kind.capitalize()} {name} has {len(places)} rides, which take {needed} places "
                f"with those between; the class has {len(order)}."
            )
    return None


def _by_the_steps(order: list[Ride], limits: SpacingLimits) -> tuple[list[Ride], list[Repair]]:
    """The order after every step that clears a clash and makes no new one, first clashes first."""
    repairs: list[Repair] = []
    while found := next(
        (better for clash in clashes(order, limits) for better in _cleared(order, clash, limits)),
        None,
    ):
        order, repair = found
        repairs.append(repair)
    return order, repairs


def _cleared(
    order: list[Ride], clash: Clash, limits: SpacingLimits
) -> Iterator[tuple[list[Ride], Repair]]:
    """Every order in which a published step clears the clash and makes no other, nearest first."""
    party = (clash.kind, clash.name)
    known = set(_close(order, limits)) - {(party, clash.first, clash.second)}
    places = positions(order)[party]
    wanted = [limits.wanted(party, ride) for ride in range(1, len(places))]
    for step, targets in _steps(places, clash.ride - 1, wanted, len(order)):
        moved = dict(zip(places, targets, strict=True))
        candidate = _moved(order, moved)
        if all(pair in known for pair in _close(candidate, limits)):
            names = tuple(order[place].entry for place in places if moved[place] != place)
            yield candidate, _repair(step, clash, names, order, candidate)


def _close(order: Sequence[Ride], limits: SpacingLimits) -> Iterator[tuple[Party, str, str]]:
    for party, _, first, second in close_pairs(order, limits):
        yield party, order[first].entry, order[second].entry


def _steps(
    places: Sequence[int], pair: int, wanted: Sequence[int], size: int
) -> Iterator[tuple[Literal["forward", "backward", "both"], tuple[int, ...]]]:
    """Where the party's rides may be moved to: forward, backward, both, the shortest way first.

    Forward moves the first of the clashing pair towards the start of the class, backward the second
    towards its end, neither past another ride of the party. Both moves the two apart, and pushes
    the party's rides before and behind them along as far as they need.
    """
    before = places[pair - 1] if pair else -1
    behind = places[pair + 2] if pair + 2 < len(places) else size
    for target in range(places[pair] - 1, before, -1):
        yield "forward", _with(places, pair, target)
    for target in range(places[pair + 1] + 1, behind):
        yield "backward", _with(places, pair + 1, target)
    ways = product(range(1, _REACH + 1), repeat=2)
    for forward, backward in sorted(ways, key=lambda way: (sum(way), -way[0])):
        targets = _apart(places, pair, (forward, backward), wanted)
        if targets[0] >= 0 and targets[-1] < size:
            yield "both", targets


def _with(places: Sequence[int], number: int, target: int) -> tuple[int, ...]:
    return (*places[:number], target, *places[number + 1 :])


def _apart(
    places: Sequence[int], pair: int, way: tuple[int, int], wanted: Sequence[int]
) -> tuple[int, ...]:
    targets = list(places)
    targets[pair] -= way[0]
    targets[pair + 1] += way[1]
    for ride in range(pair - 1, -1, -1):
        targets[ride] = min(targets[ride], targets[ride + 1] - wanted[ride] - 1)
    for ride in range(pair + 2, len(targets)):
        targets[ride] = max(targets[ride], targets[ride - 1] + wanted[ride - 1] + 1)
    return tuple(targets)


def _moved(order: Sequence[Ride], targets: Mapping[int, int]) -> list[Ride]:
    """The order with some rides at new positions, the others keeping their order around them."""
    rest = iter([ride for place, ride in enumerate(order) if place not in targets])
    at = {target: order[place] for place, target in targets.items()}
    return [at[place] if place in at else next(rest) for place in range(len(order))]


def _repair(
    step: Literal["forward", "backward", "both", "search"],
    clash: Clash,
    moved: tuple[str, ...],
    before: Sequence[Ride],
    after: Sequence[Ride],
) -> Repair:
    numbers = {ride.entry: number for number, ride in enumerate(after, start=1)}
    moves = tuple(
        Move(entry=ride.entry, before=number, after=numbers[ride.entry])
        for number, ride in enumerate(before, start=1)
        if numbers[ride.entry] != number
    )
    return Repair(
        step=step,
        clears=clash,
        moved=moved or tuple(move.entry for move in moves),
        moves=moves,
    )
