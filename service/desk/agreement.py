"""How far judges agree: ranks by scipy, marks by exact half points."""

from collections.abc import Mapping, Sequence
from fractions import Fraction
from itertools import combinations
from statistics import median

import msgspec

from events.half_points import HalfPoints
from events.projections.card import CardView
from events.projections.placing import SeatPlacing

FEWEST_FOR_W = 3
"""Kendall's W comes from the Friedman statistic, which takes three entries."""

APART = 2
"""In half points: a mark stands apart when it is a whole point from the middle of the others'."""

Ranks = Mapping[str, Mapping[str, float]]
"""By seat, the rank of each entry that every seat has placed; equal ones share the middle rank."""


class Pair(msgspec.Struct, frozen=True, kw_only=True):
    """Two seats' rank correlation, ``None`` where one of them left everybody equal."""

    first: str
    second: str
    spearman: float | None
    kendall: float | None


class Spread(msgspec.Struct, frozen=True, kw_only=True):
    """How far the judges' marks lie apart at a maneuver: highest less lowest, over the entries.

    ``mean`` in points, ``widest`` in half points; ``entries`` are those that all judges marked.
    """

    maneuver: int
    name: str
    entries: int
    mean: Fraction
    widest: HalfPoints


class MarkApart(msgspec.Struct, frozen=True, kw_only=True):
    """A mark that lies a point or more from the middle of the other judges' marks."""

    seat: str
    entry: str
    back_number: int
    maneuver: int
    mark: HalfPoints
    others: tuple[HalfPoints, ...]


def ranks(seats: Sequence[SeatPlacing]) -> Ranks:
    """The ranks of the entries that every seat has placed."""
    from scipy.stats import rankdata  # noqa: PLC0415 - it takes a second, and few ask for it

    places = {
        seat.seat: {row.entry: row.place for row in seat.rows if row.place is not None}
        for seat in seats
    }
    shared = [
        name
        for name in next(iter(places.values()), {})
        if all(name in of for of in places.values())
    ]
    return {
        seat: dict(zip(shared, map(float, rankdata([of[name] for name in shared])), strict=True))
        for seat, of in places.items()
    }


def concordance(of: Ranks) -> float | None:
    """Kendall's W of the seats, corrected for ties; ``None`` where nothing can be said.

    W = chi-square of Friedman / (judges x (entries - 1)).
    """
    from scipy.stats import friedmanchisquare  # noqa: PLC0415 - as in ranks

    entries = list(next(iter(of.values()), {}))
    judges = len(of)
    if judges < 2 or len(entries) < FEWEST_FOR_W:  # noqa: PLR2004 - nobody to agree with
        return None
    if all(len(set(line.values())) == 1 for line in of.values()):
        return None
    by_entry = [[line[name] for line in of.values()] for name in entries]
    found = friedmanchisquare(*by_entry)
    return float(found.statistic) / (judges * (len(entries) - 1))


def correlations(of: Ranks) -> tuple[Pair, ...]:
    """The rank correlation of every two seats."""
    return tuple(
        Pair(
            first=first,
            second=second,
            spearman=spearman(of[first], of[second]),
            kendall=kendall(of[first], of[second]),
        )
        for first, second in combinations(sorted(of), 2)
    )


def spearman(one: Mapping[str, float], other: Mapping[str, float]) -> float | None:
    """Spearman's rho of two rankings of the same entries."""
    from scipy.stats import spearmanr  # noqa: PLC0415 - as in ranks

    if _says_nothing(one) or _says_nothing(other):
        return None
    return float(spearmanr(list(one.values()), [other[name] for name in one]).statistic)


def kendall(one: Mapping[str, float], other: Mapping[str, float]) -> float | None:
    """Kendall's tau-b of two rankings of the same entries."""
    from scipy.stats import kendalltau  # noqa: PLC0415 - as in ranks

    if _says_nothing(one) or _says_nothing(other):
        return None
    return float(kendalltau(list(one.values()), [other[name] for name in one]).statistic)


def spreads(cards: Sequence[CardView]) -> tuple[Spread, ...]:
    """The spread of the judges' marks at every maneuver that all of them marked for somebody."""
    names: dict[int, str] = {}
    found: dict[int, list[HalfPoints]] = {}
    for rides in zip(*(card.rides for card in cards), strict=True):
        for lines in zip(*(ride.marks for ride in rides), strict=True):
            marks = [line.mark for line in lines if line.mark is not None]
            names[lines[0].maneuver] = lines[0].name
            if len(marks) == len(cards):
                found.setdefault(lines[0].maneuver, []).append(max(marks) - min(marks))
    return tuple(
        Spread(
            maneuver=maneuver,
            name=names[maneuver],
            entries=len(of),
            mean=Fraction(sum(of), 2 * len(of)),
            widest=max(of),
        )
        for maneuver, of in sorted(found.items())
    )


def marks_apart(cards: Sequence[CardView]) -> tuple[MarkApart, ...]:
    """The marks that stand apart from those of the other judges, in working order."""
    found = []
    for rides in zip(*(card.rides for card in cards), strict=True):
        for lines in zip(*(ride.marks for ride in rides), strict=True):
            for at, line in enumerate(lines):
                others = tuple(
                    each.mark
                    for other, each in enumerate(lines)
                    if other != at and each.mark is not None
                )
                if line.mark is None or not others:
                    continue
                if abs(line.mark - median(others)) >= APART:
                    found.append(
                        MarkApart(
                            seat=cards[at].seat,
                            entry=rides[at].entry,
                            back_number=rides[at].back_number,
                            maneuver=line.maneuver,
                            mark=line.mark,
                            others=others,
                        )
                    )
    return tuple(found)


def _says_nothing(of: Mapping[str, float]) -> bool:
    return len(set(of.values())) < 2  # noqa: PLR2004 - an order takes two
