"""Panels combined by the totals on their cards.

A seat that leaves an entry without a total because of an outcome adds nothing to its figure, and is
the low score where one is dropped; most seats doing so leave it without a place. Our rule: no
publication read says what one judge's disqualification does to the sum of several.
"""

from collections.abc import Callable, Sequence
from fractions import Fraction

from events.scoring.exact import to_words
from events.scoring.panel.cards import PanelUnfit, SeatCard, check, running, value_of
from events.scoring.panel.ranking import Candidate, Combined, SeatFigure, rank
from events.scoring.panel.step import Step
from events.scoring.panel.ties import NO_TIE_RULES, TieRules

_FEWEST_TO_DROP_FROM = 3


def total_sum(cards: Sequence[SeatCard], ties: TieRules = NO_TIE_RULES) -> tuple[Combined, ...]:
    """The seats' totals added, highest first.

    IHSA Western Scoring Explanation, Reining: the scores of both judges are added.
    """
    return _by_totals(cards, ties, _every_seat, Fraction(1), "Sum of the totals")


def total_mean(cards: Sequence[SeatCard], ties: TieRules = NO_TIE_RULES) -> tuple[Combined, ...]:
    """The seats' totals added and divided by the number of seats, exactly; highest first.

    Al Khalediah Festival, Scoring System, 1: points added and divided by the number of judges.
    """
    share = Fraction(1, max(len(cards), 1))
    return _by_totals(cards, ties, _every_seat, share, "Mean of the totals")


def drop_high_low_sum(
    cards: Sequence[SeatCard], ties: TieRules = NO_TIE_RULES
) -> tuple[Combined, ...]:
    """For each entry one highest and one lowest total dropped, the others added; highest first.

    C. Crumpler, The Numbers Don't Lie, Equine Chronicle: five judges, the middle three added and
    not averaged. ``PanelUnfit`` with fewer than three seats.
    """
    if len(cards) < _FEWEST_TO_DROP_FROM:
        raise PanelUnfit(
            "method", f"To drop high and low takes three seats or more; here are {len(cards)}."
        )
    return _by_totals(cards, ties, _middle_seats, Fraction(1), "Sum without high and low")


def _by_totals(
    cards: Sequence[SeatCard],
    ties: TieRules,
    counted: Callable[[Sequence[Fraction | None]], set[int]],
    share: Fraction,
    called: str,
) -> tuple[Combined, ...]:
    check(cards, totals=True)

    def candidate(entry: str) -> Candidate:
        values = [value_of(card.lines[entry]) for card in cards]
        counting = counted(values)
        figure = share * sum((values[seat] or Fraction(0) for seat in counting), Fraction(0))
        return Candidate(
            entry=entry,
            figure=None if all(value is None for value in values) else figure,
            seats=tuple(
                SeatFigure(seat=card.seat, figure=value, counted=number in counting)
                for number, (card, value) in enumerate(zip(cards, values, strict=True))
            ),
            steps=(Step(name="figure", key=-figure, says=f"{called}: {to_words(figure)}."),),
        )

    return rank([candidate(entry) for entry in running(cards)], cards, ties)


def _every_seat(values: Sequence[Fraction | None]) -> set[int]:
    return set(range(len(values)))


def _middle_seats(values: Sequence[Fraction | None]) -> set[int]:
    """The seats left when the first of the lowest and the last of the highest are dropped."""
    lowest_first = sorted(
        range(len(values)), key=lambda seat: (values[seat] is not None, values[seat] or 0)
    )
    return set(lowest_first[1:-1])
