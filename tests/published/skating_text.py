"""The Skating System done by hand, step by step as the published text reads.

Written from A. Dawson, The Skating System (as reprinted at slydance.org and in N. H. Schmidt's
overview for DanceSport Kenya, and at fdo.fi), without a look at the code under test: positions are
allotted one after another, columns are gone through one after another.
"""

from collections.abc import Mapping, Sequence

Marks = Mapping[str, Sequence[int]]
Result = list[list[str]]
"""Who has each position, best first; those in one list could not be separated."""


def one_dance(marks: Marks, *, first_column: int = 1) -> Result:
    """Rules 5 to 8 for a single dance in which every judge placed everybody."""
    judges = len(next(iter(marks.values())))
    majority = judges // 2 + 1
    remaining = set(marks)
    result: Result = []
    column = first_column
    last_column = max(max(row) for row in marks.values())
    while remaining:
        # Rule 5; rule 8 when nobody has a majority: include the next column.
        having = {c for c in remaining if _count(marks[c], column) >= majority}
        if not having:
            column += 1
            continue
        # Everyone with a majority in this column is allotted before the next column is looked at.
        while having:
            # Rule 6: the largest majority first.
            largest = max(_count(marks[c], column) for c in having)
            tied = {c for c in having if _count(marks[c], column) == largest}
            for one_position in _rule_7(marks, tied, column, last_column):
                result.append(sorted(one_position))
                having -= one_position
                remaining -= one_position
        column += 1
    return result


def _rule_7(marks: Marks, tied: set[str], column: int, last_column: int) -> list[set[str]]:
    """Equal majorities: the lower total inside them; then the next column, for the tied only."""
    if len(tied) == 1:
        return [tied]
    by_total: dict[int, set[str]] = {}
    for competitor in tied:
        by_total.setdefault(_total(marks[competitor], column), set()).add(competitor)
    separated: list[set[str]] = []
    for total in sorted(by_total):
        still = by_total[total]
        if len(still) == 1 or column >= last_column:
            separated.append(still)
            continue
        by_count: dict[int, set[str]] = {}
        for competitor in still:
            by_count.setdefault(_count(marks[competitor], column + 1), set()).add(competitor)
        for count in sorted(by_count, reverse=True):
            separated += _rule_7(marks, by_count[count], column + 1, last_column)
    return separated


def several_dances(dances: Sequence[Marks]) -> Result:
    """Rules 9 to 11 over several dances."""
    dance_places = [_places(one_dance(marks)) for marks in dances]
    competitors = sorted(dances[0])
    totals = {c: sum(places[c] for places in dance_places) for c in competitors}
    pooled = {c: [mark for marks in dances for mark in marks[c]] for c in competitors}
    result: Result = []
    position = 1
    for total in sorted(set(totals.values())):  # rule 9
        tied = {c for c in competitors if totals[c] == total}
        while tied:
            best = _rule_10(tied, position, dance_places)
            if len(best) > 1:
                best = _rule_11(best, position, pooled)
            result.append(sorted(best))
            tied -= best
            position += len(best)
    return result


def _rule_10(tied: set[str], position: int, places: Sequence[Mapping[str, float]]) -> set[str]:
    def good(competitor: str) -> list[float]:
        return [one[competitor] for one in places if one[competitor] <= position]

    most = max(len(good(c)) for c in tied)
    with_most = {c for c in tied if len(good(c)) == most}
    lowest = min(sum(good(c)) for c in with_most)
    return {c for c in with_most if sum(good(c)) == lowest}


def _rule_11(tied: set[str], position: int, pooled: Marks) -> set[str]:
    return set(one_dance({c: pooled[c] for c in tied}, first_column=position)[0])


def _places(result: Result) -> dict[str, float]:
    """Those that share positions have the mean of them, such as 2.5 for second and third."""
    places: dict[str, float] = {}
    taken = 0
    for group in result:
        held = range(taken + 1, taken + len(group) + 1)
        places.update((competitor, sum(held) / len(group)) for competitor in group)
        taken += len(group)
    return places


def _count(row: Sequence[int], column: int) -> int:
    return len([mark for mark in row if mark <= column])


def _total(row: Sequence[int], column: int) -> int:
    return sum(mark for mark in row if mark <= column)
