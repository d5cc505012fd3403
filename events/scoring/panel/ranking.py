"""One placing from what each entry is compared by, and what each place rests on."""

from collections.abc import Mapping, Sequence
from fractions import Fraction
from itertools import groupby, pairwise

import msgspec

from events.scoring.panel.cards import SeatCard
from events.scoring.panel.step import Step, StepName
from events.scoring.panel.ties import TieRules, check_ties, tie_steps

_THE_METHOD_ITSELF = {"outcome", "figure", "majority"}
"""What these steps part was never a tie."""


class SeatFigure(msgspec.Struct, frozen=True, kw_only=True):
    """What a seat gave to an entry's figure, ``None`` where it gave nothing.

    ``counted`` is false for one that was dropped, or that stands outside the majority.
    """

    seat: str
    figure: Fraction | None
    counted: bool = True


class Candidate(msgspec.Struct, frozen=True, kw_only=True):
    """An entry as a method sees it; ``figure`` is ``None`` where no seat gave it anything."""

    entry: str
    figure: Fraction | None
    seats: tuple[SeatFigure, ...]
    steps: tuple[Step, ...]


class Combined(msgspec.Struct, frozen=True, kw_only=True):
    """Where one entry stands on the panel's placing.

    ``figure`` is the method's, in points or values; under majority it is the place at which the
    entry has one. ``parted_by`` names the step that settled its place among equal figures, ``None``
    where the figures alone did. ``steps`` are the comparisons that its place rests on, in turn.
    """

    entry: str
    place: int | None
    tied: bool
    figure: Fraction | None
    parted_by: StepName | None
    seats: tuple[SeatFigure, ...]
    steps: tuple[Step, ...]


def standing(tiers: Sequence[int | None]) -> int | None:
    """The tier in which an entry stands on the panel, from its tier on each seat.

    An outcome counts when more than half of the seats call it: the worst tier in which, or below
    which, they put the entry. Our rule; some bodies ask for a majority of adjudicators before a
    couple is disqualified (dancesportlive.com, How to judge, Skating System, page 4).
    """
    worst_first = sorted(tiers, key=lambda tier: (tier is None, tier or 0), reverse=True)
    return worst_first[len(worst_first) // 2]


def rank(
    candidates: Sequence[Candidate], cards: Sequence[SeatCard], ties: TieRules
) -> tuple[Combined, ...]:
    """Every entry, best first, then those without a place; equal ones in the order of their ids.

    An entry that most seats put below the complete runs stands below them whatever its figure. What
    no step parts shares the place: 1, 2=, 2=, 4. ``PanelUnfit`` when a call judge is not on the
    panel.
    """
    check_ties(cards, ties)
    ladders: dict[str, tuple[Step, ...]] = {}
    for candidate in candidates:
        tier = standing([card.lines[candidate.entry].tier for card in cards])
        if tier is not None and candidate.figure is not None:
            ladders[candidate.entry] = (
                _outcome(tier),
                *candidate.steps,
                *tie_steps(candidate.entry, cards, ties),
            )
    by_entry = {candidate.entry: candidate for candidate in candidates}
    unplaced = sorted(by_entry.keys() - ladders.keys())
    return (
        *_numbered(by_entry, ladders),
        *(_row(by_entry[entry], None, ()) for entry in unplaced),
    )


def _outcome(tier: int) -> Step:
    says = (
        "Most seats put it below the complete runs."
        if tier
        else "No outcome stands against it on most seats."
    )
    return Step(name="outcome", key=Fraction(tier), says=says)


def _keys(steps: Sequence[Step]) -> tuple[Fraction, ...]:
    return tuple(step.key for step in steps)


def _numbered(
    candidates: Mapping[str, Candidate], ladders: Mapping[str, tuple[Step, ...]]
) -> list[Combined]:
    order = sorted(ladders, key=lambda entry: (_keys(ladders[entry]), entry))
    groups = [list(group) for _, group in groupby(order, key=lambda entry: _keys(ladders[entry]))]
    depths = [
        _first_difference(ladders[above[0]], ladders[below[0]]) for above, below in pairwise(groups)
    ]
    bounds = [0, *depths, 0]
    rows: list[Combined] = []
    for number, group in enumerate(groups):
        place = len(rows) + 1
        deepest = max(bounds[number], bounds[number + 1])
        for entry in group:
            steps = ladders[entry]
            shown = steps if len(group) > 1 else steps[: max(deepest, 1) + 1]
            rows.append(
                _row(
                    candidates[entry],
                    place,
                    shown,
                    tied=len(group) > 1,
                    parted_by=_parted_by(steps[deepest]),
                )
            )
    return rows


def _first_difference(above: Sequence[Step], below: Sequence[Step]) -> int:
    """The step at which two ladders part; the callers' two are never equal."""
    return next(
        depth
        for depth, (one, other) in enumerate(zip(above, below, strict=False))
        if one.key != other.key
    )


def _parted_by(step: Step) -> StepName | None:
    return None if step.name in _THE_METHOD_ITSELF else step.name


def _row(
    candidate: Candidate,
    place: int | None,
    steps: tuple[Step, ...],
    *,
    tied: bool = False,
    parted_by: StepName | None = None,
) -> Combined:
    return Combined(
        entry=candidate.entry,
        place=place,
        tied=tied,
        figure=candidate.figure,
        parted_by=parted_by,
        seats=candidate.seats,
        steps=steps,
    )
