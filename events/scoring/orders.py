"""Orders that a judge sets over totals: rail work, run-offs, decisions."""

from collections.abc import Collection, Mapping, Sequence

import msgspec

from events.half_points import HalfPoints
from events.rulebook.model import TieStepName
from events.scoring.total import RideScore

Groups = list[list[str]]
"""Entries best first; those in one list share a place."""


class Basis(msgspec.Struct, frozen=True, kw_only=True):
    """What one entry stood at when the order was set or last confirmed.

    ``milliseconds`` is its time in a timed class; where none is told it is not looked at.
    """

    entry: str
    total: HalfPoints | None
    outcome: str | None
    milliseconds: int | None = None

    def has_moved(self, score: RideScore) -> bool:
        """Whether the entry stands at something else now."""
        if self.milliseconds is not None and score.milliseconds != self.milliseconds:
            return True
        return (score.total, score.outcome) != (self.total, self.outcome)


class JudgesOrder(msgspec.Struct, frozen=True, kw_only=True):
    """Entries as a judge put them, best first, and what that rested on."""

    order_id: str
    by: TieStepName
    order: tuple[str, ...]
    basis: tuple[Basis, ...]

    def among(self, entries: Collection[str]) -> "JudgesOrder":
        """What the order says of some entries alone, as in a division."""
        return msgspec.structs.replace(
            self,
            order=tuple(entry for entry in self.order if entry in entries),
            basis=tuple(line for line in self.basis if line.entry in entries),
        )

    def has_moved(self, scores: Mapping[str, RideScore]) -> bool:
        """Whether a total or an outcome that the order rested on has moved since."""
        return any(
            line.entry not in scores or line.has_moved(scores[line.entry]) for line in self.basis
        )

    def leaves_open(self, groups: Groups) -> bool:
        """Whether an entry that it names shares a place with one that it does not name."""
        return any(0 < sum(entry in self.order for entry in group) < len(group) for group in groups)


def part_tie(group: Sequence[str], orders: Sequence[JudgesOrder]) -> Groups:
    """One tied group after each order in turn; a later order has the last word.

    Entries that share a place with one whom an order does not name go on sharing it: an order says
    nothing of who joined the tie after it was set.
    """
    groups: Groups = [list(group)]
    for order in orders:
        groups = rearrange(groups, order.order)
    return groups


def rearrange(groups: Groups, order: Sequence[str]) -> Groups:
    """The named entries re-ordered inside the places that they hold together.

    With A, B, C, D in that order, ``("D", "B", "C")`` makes A, D, B, C. A group whose members are
    all named is parted by the order; where others share the place, it stays shared, listed as
    before.
    """
    listed = [entry for group in groups for entry in group]
    held = [index for index, group in enumerate(groups) for entry in group if entry in order]
    named = [entry for entry in dict.fromkeys(order) if entry in listed]
    moved = [[entry for entry in group if entry not in order] for group in groups]
    unnamed = [bool(group) for group in moved]
    for index, entry in zip(held, named, strict=True):
        moved[index].append(entry)
    return [
        part
        for shared, group in zip(unnamed, moved, strict=True)
        for part in ([sorted(group, key=listed.index)] if shared else [[entry] for entry in group])
    ]
