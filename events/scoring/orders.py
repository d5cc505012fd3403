"""Orders that a judge sets over totals: rail work, run-offs, decisions."""

from collections.abc import Mapping, Sequence

import msgspec

from events.half_points import HalfPoints
from events.rulebook.model import TieStepName
from events.scoring.total import RideScore

Groups = list[list[str]]
"""Entries best first; those in one list share a place."""


class Basis(msgspec.Struct, frozen=True, kw_only=True):
    """What one entry stood at when the order was set or last confirmed."""

    entry: str
    total: HalfPoints | None
    outcome: str | None


class JudgesOrder(msgspec.Struct, frozen=True, kw_only=True):
    """Entries as a judge put them, best first, and what that rested on."""

    order_id: str
    by: TieStepName
    order: tuple[str, ...]
    basis: tuple[Basis, ...]

    def is_stale(self, scores: Mapping[str, RideScore]) -> bool:
        """Whether a total or an outcome that the order rested on has moved since."""
        return any(
            line.entry not in scores
            or (scores[line.entry].total, scores[line.entry].outcome) != (line.total, line.outcome)
            for line in self.basis
        )


def part_tie(group: Sequence[str], orders: Sequence[JudgesOrder]) -> Groups:
    """One tied group parted by the orders that name any of it; a later order has the last word.

    Entries that an order does not name come after those it does, still tied among themselves.
    """
    for order in reversed(orders):
        named = [entry for entry in dict.fromkeys(order.order) if entry in group]
        if named:
            rest = [entry for entry in group if entry not in named]
            return [[entry] for entry in named] + ([rest] if rest else [])
    return [list(group)]


def rearrange(groups: Groups, order: Sequence[str]) -> Groups:
    """The named entries re-ordered inside the places that they hold together.

    With A, B, C, D in that order, ``("D", "B", "C")`` makes A, D, B, C. A group whose members are
    all named is parted by the order; where others share the place, it stays shared.
    """
    held = [index for index, group in enumerate(groups) for entry in group if entry in order]
    present = {entry for group in groups for entry in group}
    named = [entry for entry in dict.fromkeys(order) if entry in present]
    moved = [[entry for entry in group if entry not in order] for group in groups]
    unnamed = [bool(group) for group in moved]
    for index, entry in zip(held, named, strict=True):
        moved[index].append(entry)
    return [
        part
        for shared, group in zip(unnamed, moved, strict=True)
        for part in ([group] if shared else [[entry] for entry in group])
    ]
