"""Which places entries hold: those that share a place hold as many places as they are."""

from collections.abc import Mapping
from itertools import groupby

import msgspec


class PlacesUnsound(ValueError):
    """A placing in which a place would be held twice, so that points or money came from nowhere."""

    def __init__(self, entries: tuple[str, ...], place: int, free_from: int) -> None:
        super().__init__(
            f"Place {place} of {', '.join(entries)} is held already: those before hold every "
            f"place up to {free_from - 1}."
        )
        self.entries = entries
        self.place = place


class Held(msgspec.Struct, frozen=True, kw_only=True):
    """Entries that share a place, in the order of their ids, and the places they hold between them.

    Two that share second place hold second and third.
    """

    entries: tuple[str, ...]
    places: tuple[int, ...]


def held_places(places: Mapping[str, int]) -> tuple[Held, ...]:
    """The groups that share places, best first; ``PlacesUnsound`` when two of them overlap.

    A place that nobody holds may stay open between them.
    """
    held: list[Held] = []
    free_from = 1
    for place, group in groupby(
        sorted(places, key=lambda e: (places[e], e)), key=places.__getitem__
    ):
        entries = tuple(group)
        if place < free_from:
            raise PlacesUnsound(entries, place, free_from)
        free_from = place + len(entries)
        held.append(Held(entries=entries, places=tuple(range(place, free_from))))
    return tuple(held)
