"""From the totals of one card to its placing."""

from collections.abc import Callable, Mapping, Sequence
from itertools import groupby
from typing import assert_never

import msgspec

from events.half_points import HalfPoints
from events.rulebook.model import OutcomeKind, RuleBook, TieStep
from events.scoring.orders import Groups, JudgesOrder, part_tie, rearrange
from events.scoring.total import RideScore


class _Reading(msgspec.Struct, frozen=True):
    """All that the placing of one card rests on."""

    book: RuleBook
    scores: Mapping[str, RideScore]
    orders: Sequence[JudgesOrder]
    maneuvers: Sequence[str]


class Placed(msgspec.Struct, frozen=True, kw_only=True):
    """Where one entry stands on one card.

    ``place`` is ``None`` for an entry without one. ``parted_by`` names the step that settled its
    place among equal totals or moved it, ``None`` where the totals alone did. ``stale`` says that
    an order which names it rests on totals that have moved, or leaves it sharing a place with
    somebody whom the order does not name.
    """

    entry: str
    place: int | None
    tied: bool
    total: HalfPoints | None
    outcome: OutcomeKind | None
    complete: bool
    parted_by: str | None = None
    stale: bool = False


def place(
    book: RuleBook,
    scores: Mapping[str, RideScore],
    orders: Sequence[JudgesOrder] = (),
    maneuvers: Sequence[str] = (),
) -> tuple[Placed, ...]:
    """Every entry, best first, then those without a place in the order they were given.

    Best total first inside each tier, equal totals parted by the book's tie steps in turn, then the
    rail work where the book lets it adjust. What nothing parts shares the place: 1, 2=, 2=, 4.
    """
    reading = _Reading(book, scores, orders, maneuvers)
    parted: dict[str, str] = {}
    groups: Groups = []
    for tier in _tiers(scores):
        groups += _ranked(reading, tier, sum(map(len, groups)), parted)
    if book.rail.role == "adjusts":
        groups = _adjusted(reading, groups, parted)
    stale = {entry for order in _unsettled(orders, scores, groups) for entry in order.order}
    placed = _numbered(groups, scores, parted, stale)
    unplaced = tuple(
        _row(entry, scores[entry], stale=stale) for entry in scores if not scores[entry].placed
    )
    return (*placed, *unplaced)


def unsettled(
    orders: Sequence[JudgesOrder], scores: Mapping[str, RideScore], placed: Sequence[Placed]
) -> tuple[JudgesOrder, ...]:
    """The orders that no longer stand firm under the placing that they led to."""
    rows = [row for row in placed if row.place is not None]
    groups = [[row.entry for row in group] for _, group in groupby(rows, lambda row: row.place)]
    return _unsettled(orders, scores, groups)


def _unsettled(
    orders: Sequence[JudgesOrder], scores: Mapping[str, RideScore], groups: Groups
) -> tuple[JudgesOrder, ...]:
    return tuple(order for order in orders if order.has_moved(scores) or order.leaves_open(groups))


def _tiers(scores: Mapping[str, RideScore]) -> list[list[str]]:
    """Placed entries by tier: complete runs first, then what stands below them."""

    def tier(entry: str) -> int:
        return scores[entry].tier or 0

    placed = sorted((entry for entry in scores if scores[entry].placed), key=tier)
    return [list(entries) for _, entries in groupby(placed, key=tier)]


def _ranked(
    reading: _Reading, entries: Sequence[str], ahead: int, parted: dict[str, str]
) -> Groups:
    """One tier by totals and tie steps; ``ahead`` is how many entries stand before it."""
    groups = _by_key(entries, lambda entry: reading.scores[entry].rank)
    for step in reading.book.ties:
        after: Groups = []
        for group in groups:
            place = ahead + sum(map(len, after)) + 1
            within = step.places is None or place <= step.places
            split = _parted(reading, step, group) if within and len(group) > 1 else [group]
            if len(split) > 1:
                parted.update((entry, step.step) for entry in group if entry not in parted)
            after.extend(split)
        groups = after
    return groups


def _parted(reading: _Reading, step: TieStep, group: list[str]) -> Groups:
    """One tied group after one step of the rule book."""
    scores = reading.scores
    match step.step:
        case "rider_mark":
            return _by_key(group, lambda entry: -(scores[entry].rider_mark or 0))
        case "fewest_penalty_points":
            return _by_key(group, lambda entry: scores[entry].penalty_points)
        case "named_maneuver":
            numbers = _numbers_of(step.maneuver, reading.maneuvers)
            return _by_key(group, lambda entry: -_sum_of(scores[entry], numbers))
        case "rail_work" | "run_off" | "judges_decision":
            return part_tie(group, [order for order in reading.orders if order.by == step.step])
        case "call_judge":  # settled among several cards, never on one
            return [group]
        case _:
            assert_never(step.step)


def _numbers_of(name: str | None, maneuvers: Sequence[str]) -> list[int]:
    wanted = (name or "").casefold()
    return [index for index, maneuver in enumerate(maneuvers) if maneuver.casefold() == wanted]


def _sum_of(ride: RideScore, numbers: Sequence[int]) -> HalfPoints:
    return sum(ride.marks[number] or 0 for number in numbers)


def _by_key(entries: Sequence[str], key: Callable[[str], int]) -> Groups:
    return [list(group) for _, group in groupby(sorted(entries, key=key), key=key)]


def _adjusted(reading: _Reading, groups: Groups, parted: dict[str, str]) -> Groups:
    """The groups after each rail order in turn, the line between outcomes kept unless allowed."""
    tiers = {entry: reading.scores[entry].tier for group in groups for entry in group}
    lanes = {None} if reading.book.rail.crosses_outcomes else set(tiers.values())
    for order in reading.orders:
        if order.by != "rail_work":
            continue
        for lane in lanes:
            named = [e for e in order.order if e in tiers and (lane is None or tiers[e] == lane)]
            moved = rearrange(groups, named)
            if moved != groups:
                parted.update((entry, "rail_work") for entry in named)
            groups = moved
    return groups


def _numbered(
    groups: Groups,
    scores: Mapping[str, RideScore],
    parted: Mapping[str, str],
    stale: set[str],
) -> tuple[Placed, ...]:
    rows: list[Placed] = []
    for group in groups:
        number = len(rows) + 1
        rows.extend(
            _row(
                entry,
                scores[entry],
                number=number,
                tied=len(group) > 1,
                parted_by=parted.get(entry),
                stale=stale,
            )
            for entry in group
        )
    return tuple(rows)


def _row(
    entry: str,
    ride: RideScore,
    *,
    stale: set[str],
    number: int | None = None,
    tied: bool = False,
    parted_by: str | None = None,
) -> Placed:
    return Placed(
        entry=entry,
        place=number,
        tied=tied,
        total=ride.total,
        outcome=ride.outcome,
        complete=ride.complete,
        parted_by=parted_by,
        stale=entry in stale,
    )
