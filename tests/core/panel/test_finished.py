"""A panel is combined when every seat has finished, and not before."""

from collections.abc import Callable, Sequence
from fractions import Fraction

import pytest

from events.scoring.panel.cards import Line, PanelIncomplete, PanelUnfit, SeatCard
from events.scoring.panel.combine import Panel, combine
from events.scoring.panel.majority import majority
from events.scoring.panel.ranking import Combined
from events.scoring.panel.totals import drop_high_low_sum, total_mean, total_sum
from events.scoring.panel.values import placing_values, weighted
from tests.core.panel.seats import placed, scored

Method = Callable[[Sequence[SeatCard]], tuple[Combined, ...]]


def _values(cards: Sequence[SeatCard]) -> tuple[Combined, ...]:
    return placing_values(cards, (3, 2, 1))


def _weighted(cards: Sequence[SeatCard]) -> tuple[Combined, ...]:
    return weighted(cards, (3, 2, 1), {card.seat: Fraction(1) for card in cards})


def _separate(cards: Sequence[SeatCard]) -> tuple[Combined, ...]:
    return combine(Panel(method="separate"), cards)


BY_TOTALS = [total_sum, total_mean, drop_high_low_sum]
EVERY_METHOD = [*BY_TOTALS, _values, _weighted, _separate, majority]


def _without(cards: list[SeatCard], seat: str, entry: str) -> list[SeatCard]:
    return [
        SeatCard(
            seat=card.seat,
            lines={
                name: line
                for name, line in card.lines.items()
                if (card.seat, name) != (seat, entry)
            },
        )
        for card in cards
    ]


def _with(cards: list[SeatCard], seat: str, entry: str, line: Line) -> list[SeatCard]:
    return [
        SeatCard(
            seat=card.seat, lines={**card.lines, entry: line} if card.seat == seat else card.lines
        )
        for card in cards
    ]


SCORED = scored({"1": [70, 71, 72], "2": [69, 70, 71], "3": [68, 72, 70.5]})


@pytest.mark.parametrize("method", EVERY_METHOD)
def test_a_seat_that_left_an_entry_out_is_named_with_it(method: Method) -> None:
    with pytest.raises(PanelIncomplete) as refused:
        method(_without(SCORED, "B", "2"))
    assert refused.value.missing == {"B": ("2",)}
    assert str(refused.value) == "Seat B has not finished: 2"


@pytest.mark.parametrize("method", EVERY_METHOD)
def test_every_seat_that_has_not_finished_is_named(method: Method) -> None:
    open_line = Line(place=None, complete=False)
    cards = _with(_without(SCORED, "C", "1"), "A", "3", open_line)
    with pytest.raises(PanelIncomplete) as refused:
        method(cards)
    assert refused.value.missing == {"A": ("3",), "C": ("1",)}


@pytest.mark.parametrize("method", BY_TOTALS)
def test_a_place_without_a_total_does_not_make_a_sum(method: Method) -> None:
    with pytest.raises(PanelIncomplete) as refused:
        method(_with(SCORED, "C", "1", Line(place=1)))
    assert refused.value.missing == {"C": ("1",)}


@pytest.mark.parametrize("method", EVERY_METHOD[3:])
def test_cards_by_placing_alone_need_no_totals(method: Method) -> None:
    assert {row.entry for row in method(placed(A="123", B="213"))} <= {"1", "2", "3"}


@pytest.mark.parametrize("method", EVERY_METHOD)
def test_a_seat_that_stands_on_the_panel_twice_is_refused(method: Method) -> None:
    with pytest.raises(PanelUnfit, match="Seat A stands on the panel twice") as refused:
        method([*SCORED, SCORED[0]])
    assert refused.value.field == "seats"


@pytest.mark.parametrize("method", [total_sum, total_mean, _values, _separate, majority])
def test_a_panel_without_seats_is_refused(method: Method) -> None:
    with pytest.raises(PanelUnfit, match="at least one seat") as refused:
        method([])
    assert refused.value.field == "seats"
