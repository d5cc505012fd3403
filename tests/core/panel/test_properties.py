"""What holds for every panel, whatever the judges gave."""

from collections.abc import Callable, Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.scoring.panel.cards import SeatCard
from events.scoring.panel.majority import majority
from events.scoring.panel.ranking import Combined
from events.scoring.panel.values import placing_values
from tests.core.panel.seats import marked, orders, places

Method = Callable[[Sequence[SeatCard]], tuple[Combined, ...]]


def _values(cards: Sequence[SeatCard]) -> tuple[Combined, ...]:
    return placing_values(cards, (10, 8, 6, 4, 2, 1))


def _outcome(rows: Sequence[Combined]) -> list[tuple[object, ...]]:
    return [(row.entry, row.place, row.tied, row.figure, row.parted_by, row.steps) for row in rows]


def _renamed(cards: Sequence[SeatCard], names: Sequence[str]) -> list[SeatCard]:
    return sorted(
        (SeatCard(seat=name, lines=card.lines) for name, card in zip(names, cards, strict=True)),
        key=lambda card: card.seat,
    )


@pytest.mark.parametrize("method", [majority, _values])
@given(cards=orders(st.integers(1, 7)), data=st.data())
def test_the_judges_names_change_nothing(
    method: Method, cards: list[SeatCard], data: st.DataObject
) -> None:
    names = data.draw(st.permutations([card.seat for card in cards]))
    assert _outcome(method(_renamed(cards, names))) == _outcome(method(cards))


@given(cards=marked(), data=st.data())
def test_the_judges_names_change_nothing_with_gaps_and_shared_places(
    cards: list[SeatCard], data: st.DataObject
) -> None:
    names = data.draw(st.permutations([card.seat for card in cards]))
    assert _outcome(majority(_renamed(cards, names))) == _outcome(majority(cards))


@given(cards=marked(), data=st.data())
def test_the_order_in_which_entries_were_entered_changes_nothing(
    cards: list[SeatCard], data: st.DataObject
) -> None:
    order = data.draw(st.permutations(list(cards[0].lines)))
    shuffled = [
        SeatCard(seat=card.seat, lines={entry: card.lines[entry] for entry in order})
        for card in cards
    ]
    assert majority(shuffled) == majority(cards)


@given(marked())
def test_places_count_on_past_those_that_are_shared(cards: list[SeatCard]) -> None:
    rows = [row for row in majority(cards) if row.place is not None]
    for number, row in enumerate(rows, start=1):
        sharing = [other for other in rows if other.place == row.place]
        assert row.tied == (len(sharing) > 1)
        assert row.place == rows.index(sharing[0]) + 1
        assert row.place <= number < row.place + len(sharing)


@given(orders(st.sampled_from([1, 3, 5, 7])))
def test_whom_most_judges_put_first_wins_by_majority(cards: list[SeatCard]) -> None:
    firsts = [entry for card in cards for entry, line in card.lines.items() if line.place == 1]
    for entry in set(firsts):
        if 2 * firsts.count(entry) > len(cards):
            assert places(majority(cards))[entry] == 1


@given(orders(st.just(1)))
def test_a_panel_of_one_places_as_its_judge_did(cards: list[SeatCard]) -> None:
    expected = {entry: line.place for entry, line in cards[0].lines.items()}
    assert places(majority(cards)) == expected
