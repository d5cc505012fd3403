"""Ties of an award that a coin or lots settled: in force while the points they rested on stand."""

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from itertools import groupby
from typing import Literal

import msgspec

from events.projections.standings import StandingRow
from events.show.events import TieBasis
from events.show.state import Settlement

Why = Literal["points_moved", "tie_changed", "settled_again"]


class StaleSettlement(msgspec.Struct, frozen=True, kw_only=True):
    """A settlement that no longer counts: what it rested on has moved, or another took its place.

    ``now`` are the points of those between whom it was, as far as they still have any.
    """

    settlement: Settlement
    why: Why
    now: Mapping[str, Fraction]


class Settled(msgspec.Struct, frozen=True, kw_only=True):
    """Standings in which settlements have parted ties, and the settlements that are stale."""

    rows: tuple[StandingRow, ...]
    stale: tuple[StaleSettlement, ...] = ()


def basis_of(rows: Sequence[StandingRow], carriers: Iterable[str]) -> tuple[TieBasis, ...] | None:
    """What a settlement between carriers rests on; ``None`` unless they are all who share a place.

    ``rows`` are standings before any settlement.
    """
    wanted = set(carriers)
    for group in _ties(rows):
        if {row.carrier for row in group} == wanted:
            return tuple(TieBasis(carrier=row.carrier, points=str(row.points)) for row in group)
    return None


def settled(rows: Sequence[StandingRow], settlements: Iterable[Settlement]) -> Settled:
    """The standings after settlements, the latest of those between the same carriers counting."""
    told = tuple(settlements)
    latest = {frozenset(each.event.order): each for each in told}
    ties = {frozenset(row.carrier for row in group): group for group in _ties(rows)}
    moved: dict[str, StandingRow] = {}
    stale = []
    for settlement in told:
        carriers = frozenset(settlement.event.order)
        why = _why_stale(rows, ties.get(carriers), settlement, latest[carriers])
        if why is None:
            moved.update(_parted(ties[carriers], settlement))
        else:
            points = {row.carrier: row.points for row in rows if row.carrier in carriers}
            stale.append(StaleSettlement(settlement=settlement, why=why, now=points))
    after = [moved.get(row.carrier, row) for row in rows]
    placed = sorted((row for row in after if row.place is not None), key=lambda row: row.place or 0)
    unplaced = (row for row in after if row.place is None)
    return Settled(rows=(*placed, *unplaced), stale=tuple(stale))


def _ties(rows: Sequence[StandingRow]) -> list[list[StandingRow]]:
    tied = [row for row in rows if row.tied]
    return [list(group) for _, group in groupby(tied, key=lambda row: row.place)]


def _why_stale(
    rows: Sequence[StandingRow],
    tie: Sequence[StandingRow] | None,
    settlement: Settlement,
    latest: Settlement,
) -> Why | None:
    if settlement is not latest:
        return "settled_again"
    now = {row.carrier: str(row.points) for row in rows}
    if any(now.get(each.carrier) != each.points for each in settlement.event.basis):
        return "points_moved"
    return "tie_changed" if tie is None else None


def _parted(tie: Sequence[StandingRow], settlement: Settlement) -> dict[str, StandingRow]:
    of = {row.carrier: row for row in tie}
    first = tie[0].place or 1
    return {
        carrier: msgspec.structs.replace(
            of[carrier], place=first + behind, tied=False, settled=settlement.version
        )
        for behind, carrier in enumerate(settlement.event.order)
    }
