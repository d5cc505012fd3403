"""A learner's placing scored by cuts: full marks less the cuts of every pair in the wrong order.

The official sets a cut between neighbouring places; a pair that is turned round costs every cut
that lies between the two officially.
"""

from collections.abc import Sequence
from itertools import combinations

import msgspec

_CUTS_IN_A_CLASS_OF_FOUR = 3


class CutsUnfit(ValueError):
    """A placing or cuts that cannot be scored; ``field`` names which."""

    def __init__(self, field: str, sentence: str) -> None:
        super().__init__(sentence)
        self.field = field


class MiddleLimit(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """How large the middle cut of a class of four may be when the cuts add up to ``total``."""

    total: int
    middle_at_most: int


class CutLimits(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What an official's cuts are held to, with the publication that asks for it."""

    total_at_most: int
    each_at_most: int | None = None
    middles: tuple[MiddleLimit, ...] = ()
    source: str


NEBRASKA = CutLimits(
    total_at_most=15,
    each_at_most=8,
    source="University of Nebraska-Lincoln Extension, NebGuide G2092, 2011",
)
MARYLAND = CutLimits(
    total_at_most=15,
    middles=(MiddleLimit(total=15, middle_at_most=5), MiddleLimit(total=14, middle_at_most=8)),
    source="K. M. Gordon, Scoring of Contests, University of Maryland Extension",
)


class ContestRule(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What a contest gives for a placing.

    Without a ``floor`` a full reversal may fall below zero. ``unfinished`` is the score of a
    placing that is missing, or does not name each entry once; without it such a placing is refused.
    """

    full: int = 50
    floor: int | None = None
    unfinished: int | None = None


class TurnedPair(msgspec.Struct, frozen=True, kw_only=True):
    """Two entries placed in the wrong order, ``above`` officially the better, and what it cost."""

    above: str
    below: str
    cost: int


class ContestScore(msgspec.Struct, frozen=True, kw_only=True):
    """The score of one placing, and the pairs that it lost points by."""

    score: int
    lost: int
    turned: tuple[TurnedPair, ...]
    finished: bool = True


def cut_faults(cuts: Sequence[int], limits: CutLimits) -> tuple[str, ...]:
    """Everything in which the cuts go beyond the limits, in sentences; empty when they hold."""
    faults = [f"A cut is 1 at least, not {cut}." for cut in cuts if cut < 1]
    total = sum(cuts)
    if total > limits.total_at_most:
        faults.append(f"The cuts add up to {total}; {limits.total_at_most} is the most.")
    most = limits.each_at_most
    faults += [f"A cut is {most} at most, not {cut}." for cut in cuts if most and cut > most]
    if len(cuts) == _CUTS_IN_A_CLASS_OF_FOUR:
        faults += [
            f"With cuts of {total} the middle one is {limit.middle_at_most} at most, not {cuts[1]}."
            for limit in limits.middles
            if total == limit.total and cuts[1] > limit.middle_at_most
        ]
    return tuple(faults)


def contest_score(
    official: Sequence[str],
    placed: Sequence[str],
    cuts: Sequence[int],
    rule: ContestRule | None = None,
) -> ContestScore:
    """The score of ``placed`` against the ``official`` placing, both best first.

    K. M. Gordon, Scoring of Contests, University of Maryland Extension; NebGuide G2092. A missing
    placing scores 0 at Kansas State (handout, docest.com 182394). ``CutsUnfit`` unless there is one
    cut between each two neighbouring official places.
    """
    rule = rule or ContestRule()
    if len(set(official)) != len(official):
        raise CutsUnfit("official", "The official placing names an entry twice.")
    if len(cuts) != max(len(official) - 1, 0):
        raise CutsUnfit(
            "cuts",
            f"A class of {len(official)} has {max(len(official) - 1, 0)} cuts, not {len(cuts)}.",
        )
    if sorted(placed) != sorted(official):
        if rule.unfinished is None:
            raise CutsUnfit("placed", "The placing does not name each entry of the class once.")
        return ContestScore(score=rule.unfinished, lost=0, turned=(), finished=False)
    turned = _turned(official, placed, cuts)
    lost = sum(pair.cost for pair in turned)
    score = rule.full - lost
    return ContestScore(
        score=score if rule.floor is None else max(score, rule.floor), lost=lost, turned=turned
    )


def _turned(
    official: Sequence[str], placed: Sequence[str], cuts: Sequence[int]
) -> tuple[TurnedPair, ...]:
    return tuple(
        TurnedPair(above=official[first], below=official[second], cost=sum(cuts[first:second]))
        for first, second in combinations(range(len(official)), 2)
        if placed.index(official[first]) > placed.index(official[second])
    )
