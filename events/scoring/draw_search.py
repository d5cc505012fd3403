"""Whether any working order at all keeps the rides of riders and horses apart."""

from collections.abc import Iterator, Sequence
from typing import Literal

import msgspec

from events.scoring.draw_clashes import Party, Ride, SpacingLimits, parties_of, positions


class Search(msgspec.Struct, frozen=True, kw_only=True):
    """What a search for an order came to.

    ``none`` is proof that there is no such order; ``given_up`` says only that ``most_tries`` rides
    were set without finding one.
    """

    found: Literal["order", "none", "given_up"]
    order: tuple[Ride, ...] = ()


class _Setting:
    """An order being set ride by ride, and what each party still needs."""

    def __init__(self, rides: Sequence[Ride], limits: SpacingLimits) -> None:
        self.limits = limits
        self.set: list[Ride] = []
        self.waiting = list(rides)
        self.total = {party: len(places) for party, places in positions(rides).items()}
        self.ridden: dict[Party, list[int]] = {party: [] for party in self.total}

    def add(self, ride: Ride) -> None:
        for party in parties_of(ride):
            self.ridden[party].append(len(self.set))
        self.set.append(ride)
        self.waiting.remove(ride)

    def take_back(self, waiting: list[Ride]) -> None:
        for party in parties_of(self.set.pop()):
            self.ridden[party].pop()
        self.waiting = list(waiting)

    def earliest(self, party: Party) -> int:
        """The first position at which the party may go again."""
        ridden = self.ridden[party]
        free = ridden[-1] + self.limits.wanted(party, len(ridden)) + 1 if ridden else 0
        return max(free, len(self.set))

    def choices(self) -> Iterator[Ride]:
        """The rides that may go next, one for each kind of ride, in the order they wait in."""
        seen: set[tuple[Party, ...]] = set()
        for ride in self.waiting:
            kind = tuple(party for party in parties_of(ride) if self.total[party] > 1)
            if kind not in seen and all(self.earliest(p) <= len(self.set) for p in kind):
                yield ride
            seen.add(kind)

    def hopeless(self) -> bool:
        """Whether some party cannot get all its rides in any more."""
        end = len(self.set) + len(self.waiting)
        return any(self._last(party) >= end for party, rides in self.total.items() if rides > 1)

    def _last(self, party: Party) -> int:
        """The position of the party's last ride if it went as early as it may from now on."""
        done, total = len(self.ridden[party]), self.total[party]
        if done == total:
            return -1
        between = (self.limits.wanted(party, ride) + 1 for ride in range(done + 1, total))
        return self.earliest(party) + sum(between)


def search(rides: Sequence[Ride], limits: SpacingLimits, *, most_tries: int) -> Search:
    """The first order without a clash that keeps to the given one for as long as it can."""
    setting = _Setting(rides, limits)
    if setting.hopeless():
        return Search(found="none")
    branches: list[tuple[Iterator[Ride], list[Ride]]] = []
    tries = 0
    branch = (iter(list(setting.choices())), list(setting.waiting))
    while setting.waiting:
        ride = next(branch[0], None)
        if ride is None:
            if not branches:
                return Search(found="none")
            branch = branches.pop()
            setting.take_back(branch[1])
            continue
        if tries == most_tries:
            return Search(found="given_up")
        tries += 1
        setting.add(ride)
        if setting.hopeless():
            setting.take_back(branch[1])
        else:
            branches.append(branch)
            branch = (iter(list(setting.choices())), list(setting.waiting))
    return Search(found="order", order=tuple(setting.set))
