"""Draws for the tests, written as who rides in turn."""

from collections.abc import Sequence

from hypothesis import strategies as st

from events.scoring.draw_clashes import Ride, SpacingLimits
from events.scoring.draw_spacing import Spacing


def draw(riders: str, horses: str | None = None) -> list[Ride]:
    """A ride for each letter; a dot is a rider, or a horse, with no other ride in the class."""

    def name(letter: str, number: int) -> str:
        return f"only-{number}" if letter == "." else letter

    return [
        Ride(entry=f"{number:02}", rider=name(rider, number), horse=name(horse, number))
        for number, (rider, horse) in enumerate(
            zip(riders, horses or "." * len(riders), strict=True), start=1
        )
    ]


def riders_of(drawn: Sequence[Ride], spacing: Spacing) -> str:
    """The order after its repairs, written as it was drawn."""
    riders = {ride.entry: ride.rider for ride in drawn}
    return "".join("." if len(riders[e]) > 1 else riders[e] for e in spacing.order)


def numbers_of(drawn: Sequence[Ride], spacing: Spacing, rider: str) -> list[int]:
    """The working-order numbers of a rider, from 1."""
    riders = {ride.entry: ride.rider for ride in drawn}
    return [n for n, entry in enumerate(spacing.order, start=1) if riders[entry] == rider]


def keeps_apart(order: Sequence[Ride], limits: SpacingLimits) -> bool:
    """Whether an order has no clash, counted pair by pair and without a look at the code."""
    for of, apart in (("rider", limits.rider_apart), ("horse", limits.horse_apart)):
        last: dict[str, tuple[int, int]] = {}
        for place, ride in enumerate(order):
            name = getattr(ride, of)
            before, rides = last.get(name, (0, 0))
            if rides and apart and place - before - 1 < apart[min(rides, len(apart)) - 1]:
                return False
            last[name] = (place, rides + 1)
    return True


def draws(most: int) -> st.SearchStrategy[list[Ride]]:
    riders = st.text("AB.", min_size=1, max_size=most)
    return riders.flatmap(
        lambda text: st.text("XY.", min_size=len(text), max_size=len(text)).map(
            lambda horses: draw(text, horses)
        )
    )


LIMITS = st.builds(
    SpacingLimits,
    rider_apart=st.lists(st.integers(0, 3), max_size=2).map(tuple),
    horse_apart=st.lists(st.integers(0, 3), max_size=2).map(tuple),
)
