"""Panels combined by absolute majority: the Skating System, rules 5 to 8.

A. Dawson, The Skating System, as reprinted at slydance.org and by N. H. Schmidt for DanceSport
Kenya; fdo.fi, Skating system. The published system knows no shared and no missing places on a card.
Our rule for both: entries that share a place on a card all have that place from it, and a seat
that gives no place gives no mark, while a majority stays more than half of all seats.
"""

from collections.abc import Sequence
from fractions import Fraction

from events.scoring.exact import ordinal
from events.scoring.panel.cards import SeatCard, check, running
from events.scoring.panel.ranking import Candidate, Combined, SeatFigure, rank
from events.scoring.panel.step import Step, StepName
from events.scoring.panel.ties import NO_TIE_RULES, TieRules

Marks = Sequence[int | None]
"""The places an entry has from all the judges; ``None`` for no place."""


def majority(cards: Sequence[SeatCard], ties: TieRules = NO_TIE_RULES) -> tuple[Combined, ...]:
    """The placing by absolute majority of the seats.

    Rule 5 and 8: an entry is placed by the best place that more than half of the seats give it "or
    better". Rule 6: of several with a majority for the same place, the larger majority comes first.
    Rule 7: equal majorities go by the lower total of the places inside them, and if these are equal
    the next place is included for the tied ones only, and so on.
    """
    check(cards)
    last = last_place([_marks(cards, entry) for entry in running(cards)])

    def candidate(entry: str) -> Candidate:
        marks = _marks(cards, entry)
        column = column_of(marks, range(1, last + 1))
        return Candidate(
            entry=entry,
            figure=None if not any(marks) else Fraction(column),
            seats=tuple(
                SeatFigure(
                    seat=card.seat,
                    figure=None if mark is None else Fraction(mark),
                    counted=mark is not None and mark <= column,
                )
                for card, mark in zip(cards, marks, strict=True)
            ),
            steps=majority_steps(marks, range(1, last + 1)),
        )

    return rank([candidate(entry) for entry in running(cards)], cards, ties)


def column_of(marks: Marks, places: range) -> int:
    """The first of ``places`` for which most judges have it "or better"; past the last if none."""
    return next((p for p in places if 2 * len(_inside(marks, p)) > len(marks)), places.stop)


def last_place(all_marks: Sequence[Marks]) -> int:
    """The worst place that anybody has; 0 when nobody has any."""
    return max((mark for marks in all_marks for mark in marks if mark is not None), default=0)


def majority_steps(marks: Marks, places: range) -> tuple[Step, ...]:
    """What an entry is compared by from the first of ``places`` on, by rules 5 to 8."""
    column = column_of(marks, places)
    reached = f"at {ordinal(column)} or better" if column in places else "for no place"
    steps = [Step(name="majority", key=Fraction(column), says=f"Has a majority {reached}.")]
    first = min(column, places.stop - 1)
    steps += _compared_at(first, marks, "majority_size", "majority_total")
    for place in range(first + 1, places.stop):
        steps += _compared_at(place, marks, "next_place", "next_place")
    return tuple(steps)


def _compared_at(place: int, marks: Marks, size: StepName, total: StepName) -> tuple[Step, Step]:
    inside = _inside(marks, place)
    better = f"{ordinal(place)} or better"
    return (
        Step(
            name=size,
            key=-Fraction(len(inside)),
            says=f"{len(inside)} of {len(marks)} judges have it {better}.",
        ),
        Step(
            name=total,
            key=Fraction(sum(inside)),
            says=f"Its places that are {better} add up to {sum(inside)}.",
        ),
    )


def _marks(cards: Sequence[SeatCard], entry: str) -> tuple[int | None, ...]:
    return tuple(card.lines[entry].place for card in cards)


def _inside(marks: Marks, place: int) -> list[int]:
    return [mark for mark in marks if mark is not None and mark <= place]
