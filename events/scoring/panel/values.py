"""Panels combined by what a place is worth on each card.

Entries that share a place on a card share the values of the places they hold between them. A seat
that gives an entry no place adds nothing to its figure.
"""

from collections.abc import Mapping, Sequence
from fractions import Fraction

from events.scoring.exact import to_words
from events.scoring.held_places import held_places
from events.scoring.panel.cards import PanelUnfit, SeatCard, check, running
from events.scoring.panel.ranking import Candidate, Combined, SeatFigure, rank
from events.scoring.panel.step import Step
from events.scoring.panel.ties import NO_TIE_RULES, TieRules


def placing_values(
    cards: Sequence[SeatCard], values: Sequence[int], ties: TieRules = NO_TIE_RULES
) -> tuple[Combined, ...]:
    """What each seat's place is worth, added; highest first. A place past the values is worth 0.

    IHSA Western Scoring Explanation (120, 105, 91, ... 1 for fifteen places); 2018 AMHA World
    Championship Program, page 12 (10 to 1 for ten).
    """
    return weighted(cards, values, {card.seat: Fraction(1) for card in cards}, ties)


def weighted(
    cards: Sequence[SeatCard],
    values: Sequence[int],
    weights: Mapping[str, Fraction],
    ties: TieRules = NO_TIE_RULES,
) -> tuple[Combined, ...]:
    """What each seat's place is worth times the seat's weight, added exactly; highest first.

    ghrachampionship.com, show information: two judges at 30 % and the day's call judge at 40 %.
    ``PanelUnfit`` when the weights do not name exactly the seats, or the values rise.
    """
    check(cards)
    _check_values(values)
    _check_weights(cards, weights)
    worth = {card.seat: _worth(card, values) for card in cards}

    def candidate(entry: str) -> Candidate:
        seats = tuple(
            SeatFigure(
                seat=card.seat, figure=_given(worth[card.seat].get(entry), weights[card.seat])
            )
            for card in cards
        )
        figure = sum((seat.figure or Fraction(0) for seat in seats), Fraction(0))
        return Candidate(
            entry=entry,
            figure=None if all(seat.figure is None for seat in seats) else figure,
            seats=seats,
            steps=(Step(name="figure", key=-figure, says=f"Values added: {to_words(figure)}."),),
        )

    return rank([candidate(entry) for entry in running(cards)], cards, ties)


def _given(value: Fraction | None, weight: Fraction) -> Fraction | None:
    return None if value is None else value * weight


def _worth(card: SeatCard, values: Sequence[int]) -> dict[str, Fraction]:
    places = {entry: line.place for entry, line in card.lines.items() if line.place is not None}
    return {
        entry: Fraction(sum(values[place - 1] for place in held.places if place <= len(values)))
        / len(held.entries)
        for held in held_places(places)
        for entry in held.entries
    }


def _check_values(values: Sequence[int]) -> None:
    if not values:
        raise PanelUnfit("values", "Placing values must be given, the first place's first.")
    if list(values) != sorted(values, reverse=True) or values[-1] < 0:
        raise PanelUnfit(
            "values", "Placing values never rise from a place to the next, nor go below 0."
        )


def _check_weights(cards: Sequence[SeatCard], weights: Mapping[str, Fraction]) -> None:
    seats = {card.seat for card in cards}
    if seats != set(weights):
        raise PanelUnfit(
            "weights",
            f"The weights name {', '.join(sorted(weights))}; "
            f"the seats are {', '.join(sorted(seats))}.",
        )
    light = sorted(seat for seat, weight in weights.items() if weight <= 0)
    if light:
        raise PanelUnfit("weights", f"The weight of seat {', '.join(light)} must be more than 0.")
