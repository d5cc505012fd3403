"""From the points that official results earned to the standings of an award."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from fractions import Fraction
from itertools import groupby
from typing import Literal

import msgspec

from events.awards.check import weight_of
from events.awards.rules import AwardRules, StandingTie
from events.projections.earned import EarnedLine

Missing = Literal["shows", "classes", "judges", "categories"]
_TOP = 10
_NO_MORE = 2**53
"""Stands after the last place of a carrier, so that having one more is better than none."""


class Counted(msgspec.Struct, frozen=True, kw_only=True):
    """A line, and whether it is among those that count."""

    line: EarnedLine
    counts: bool


class StandingRow(msgspec.Struct, frozen=True, kw_only=True):
    """Where one carrier stands; without a place while a minimum is missing or no points are earned.

    ``shows``, ``classes`` and ``judges`` are how many of each it was shown at, in and under.
    ``categories`` holds what counts of each. ``parted_by`` is the first step that parted it from
    others with as many points; ``settled`` the version of the show's event that settled a tie which
    no step parts.
    """

    carrier: str
    place: int | None
    tied: bool
    points: Fraction
    shows: int
    classes: int
    judges: int
    categories: Mapping[str, Fraction]
    missing: tuple[Missing, ...]
    parted_by: StandingTie | None
    lines: tuple[Counted, ...]
    settled: int | None = None


def standings(rules: AwardRules, lines: Iterable[EarnedLine]) -> tuple[StandingRow, ...]:
    """The standings of an award from the lines in force, best first, unplaced carriers last.

    The result does not depend on the order of the lines.
    """
    of: dict[str, list[EarnedLine]] = defaultdict(list)
    for line in lines:
        of[line.carrier].append(line)
    rows = [_row(rules, carrier, earned) for carrier, earned in sorted(of.items())]
    placed = [row for row in rows if not row.missing and row.points > 0]
    unplaced = [row for row in rows if row.missing or row.points <= 0]
    unplaced.sort(key=lambda row: (-row.points, row.carrier))
    return (*_placed(rules, placed), *unplaced)


def _row(rules: AwardRules, carrier: str, earned: Sequence[EarnedLine]) -> StandingRow:
    counted = _counted(rules, earned)
    categories = {category.name: Fraction(0) for category in rules.categories}
    for each in counted:
        if each.counts:
            categories[each.line.category] += each.line.points
    for category in rules.categories:
        categories[category.name] *= weight_of(category) or 1
    row = StandingRow(
        carrier=carrier,
        place=None,
        tied=False,
        points=sum(categories.values(), Fraction(0)),
        shows=len({line.show for line in earned}),
        classes=len({line.class_id for line in earned}),
        judges=len({judge for line in earned for judge in line.judges}),
        categories=categories,
        missing=(),
        parted_by=None,
        lines=counted,
    )
    return msgspec.structs.replace(row, missing=_missing(rules, row))


def _counted(rules: AwardRules, earned: Sequence[EarnedLine]) -> tuple[Counted, ...]:
    """The lines in the order of the log, the best of each category counting."""
    best: set[tuple[str, ...]] = set()
    for category in rules.categories:
        of = sorted(
            (line for line in earned if line.category == category.name),
            key=_best_first,
        )
        best.update(line.name for line in of[: rules.best_of])
    return tuple(
        Counted(line=line, counts=line.name in best) for line in sorted(earned, key=_in_log)
    )


def _best_first(line: EarnedLine) -> tuple[Fraction | int | str, ...]:
    place = _NO_MORE if line.place is None else line.place
    return -line.points, place, -line.beaten, -(line.total or 0), *_in_log(line)


def _in_log(line: EarnedLine) -> tuple[int | str, ...]:
    return line.position, *line.name


def _missing(rules: AwardRules, row: StandingRow) -> tuple[Missing, ...]:
    in_how_many = sum(1 for points in row.categories.values() if points > 0)
    checks: tuple[tuple[Missing, bool], ...] = (
        ("shows", row.shows < rules.minimum_shows),
        ("classes", row.classes < rules.minimum_classes),
        ("judges", row.judges < rules.minimum_judges),
        ("categories", in_how_many < rules.minimum_categories),
    )
    return tuple(name for name, fails in checks if fails)


def _placed(rules: AwardRules, rows: Sequence[StandingRow]) -> tuple[StandingRow, ...]:
    groups = _by(rows, lambda row: (-row.points,))
    parted: dict[str, StandingTie] = {}
    for step in rules.ties:
        after: list[list[StandingRow]] = []
        for group in groups:
            split = _by(group, _TIES[step])
            if len(split) > 1:
                parted.update((row.carrier, step) for row in group if row.carrier not in parted)
            after.extend(split)
        groups = after
    out: list[StandingRow] = []
    for group in groups:
        place = len(out) + 1
        out.extend(
            msgspec.structs.replace(
                row, place=place, tied=len(group) > 1, parted_by=parted.get(row.carrier)
            )
            for row in group
        )
    return tuple(out)


Key = Callable[[StandingRow], tuple[Fraction | int, ...]]


def _by(rows: Sequence[StandingRow], key: Key) -> list[list[StandingRow]]:
    return [list(group) for _, group in groupby(sorted(rows, key=key), key=key)]


def _most_placings(row: StandingRow) -> tuple[int, ...]:
    """More firsts come before; with as many firsts, more seconds; and so on."""
    places = sorted(
        each.line.place for each in row.lines if each.counts and each.line.place is not None
    )
    return (*places, _NO_MORE)


def _most_top_tens(row: StandingRow) -> tuple[int, ...]:
    places = [each.line.place for each in row.lines if each.counts and each.line.place is not None]
    return (-sum(place <= _TOP for place in places),)


def _most_shows(row: StandingRow) -> tuple[int, ...]:
    return (-row.shows,)


def _most_beaten(row: StandingRow) -> tuple[int, ...]:
    return (-sum(each.line.beaten for each in row.lines if each.counts),)


def _highest_total(row: StandingRow) -> tuple[int, ...]:
    return (-sum(each.line.total or 0 for each in row.lines if each.counts),)


_TIES: Mapping[StandingTie, Key] = {
    "most_placings": _most_placings,
    "most_top_tens": _most_top_tens,
    "most_shows": _most_shows,
    "most_beaten": _most_beaten,
    "highest_total": _highest_total,
}
