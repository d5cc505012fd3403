"""Rides of one rider, or of one horse, that stand too close together in a working order."""

from collections.abc import Iterator, Sequence
from typing import Literal

import msgspec

from events.scoring.exact import ordinal

PartyKind = Literal["rider", "horse"]
Party = tuple[PartyKind, str]
"""Somebody who needs time between two rides."""


class Ride(msgspec.Struct, frozen=True, kw_only=True):
    """One entry of the draw: who rides what."""

    entry: str
    rider: str
    horse: str


class SpacingLimits(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """How many others must go between the rides of one rider, and of one horse.

    The first number holds between first and second ride, the next between second and third, the
    last from there on; none means that nothing is asked. ``most_rides`` is a rider's most in the
    class.
    """

    rider_apart: tuple[int, ...]
    horse_apart: tuple[int, ...] = ()
    most_rides: int | None = None

    def wanted(self, party: Party, ride: int) -> int:
        """How many others must go between a party's ride of that number (from 1) and its next."""
        apart = self.rider_apart if party[0] == "rider" else self.horse_apart
        return apart[min(ride, len(apart)) - 1] if apart else 0


AHA_ORDER_OF_GO = SpacingLimits(rider_apart=(2, 3), most_rides=3)
"""AHA, AEPA Class: Establishing 'Order of Go' (studylib.net/doc/7137554)."""


class Clash(msgspec.Struct, frozen=True, kw_only=True):
    """Two rides of one party with fewer others between them than wanted.

    ``ride`` is the number of the first of the two among the party's rides, from 1.
    """

    kind: PartyKind
    name: str
    ride: int
    first: str
    second: str
    between: int
    wanted: int

    @property
    def says(self) -> str:
        """The clash in a sentence."""
        rides = f"{ordinal(self.ride)} and {ordinal(self.ride + 1)} ride"
        return (
            f"{self.kind.capitalize()} {self.name}: {self.between} between the {rides}, "
            f"{self.wanted} wanted."
        )


def parties_of(ride: Ride) -> tuple[Party, Party]:
    """The two who need time before this ride."""
    return ("rider", ride.rider), ("horse", ride.horse)


def positions(order: Sequence[Ride]) -> dict[Party, list[int]]:
    """Where each party goes, counted from 0, in the order of first rides."""
    found: dict[Party, list[int]] = {}
    for position, ride in enumerate(order):
        for party in parties_of(ride):
            found.setdefault(party, []).append(position)
    return found


def close_pairs(
    order: Sequence[Ride], limits: SpacingLimits
) -> Iterator[tuple[Party, int, int, int]]:
    """Party, number of the first ride, and both positions, of neighbouring rides too close."""
    last: dict[Party, tuple[int, int]] = {}
    for position, ride in enumerate(order):
        for party in parties_of(ride):
            before, number = last.get(party, (position, 0))
            if number and position - before - 1 < limits.wanted(party, number):
                yield party, number, before, position
            last[party] = (position, number + 1)


def clashes(order: Sequence[Ride], limits: SpacingLimits) -> tuple[Clash, ...]:
    """Every pair of neighbouring rides of one party that stands too close, first ones first."""
    return tuple(
        Clash(
            kind=kind,
            name=name,
            ride=number,
            first=order[first].entry,
            second=order[second].entry,
            between=second - first - 1,
            wanted=limits.wanted((kind, name), number),
        )
        for (kind, name), number, first, second in sorted(
            close_pairs(order, limits), key=lambda pair: pair[2:]
        )
    )
