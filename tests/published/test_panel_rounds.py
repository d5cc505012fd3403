"""Several rounds against A. Dawson, The Skating System, rules 9 to 11 (rule 10 from memory)."""

from hypothesis import given
from hypothesis import strategies as st

from events.scoring.panel.cards import SeatCard
from events.scoring.panel.rounds import majority_of_rounds
from tests.core.panel.seats import placed, places
from tests.published.skating_text import several_dances


@st.composite
def _finals(draw: st.DrawFn) -> list[list[SeatCard]]:
    names = [str(number) for number in range(1, draw(st.integers(1, 6)) + 1)]
    judges = draw(st.sampled_from([1, 3, 5]))
    rounds = draw(st.integers(1, 4))
    return [
        placed(**{seat: draw(st.permutations(names)) for seat in "ABCDE"[:judges]})
        for _ in range(rounds)
    ]


def _groups(rounds: list[list[SeatCard]]) -> list[list[str]]:
    found: dict[int, list[str]] = {}
    for row in majority_of_rounds(rounds):
        assert row.place is not None
        found.setdefault(row.place, []).append(row.entry)
    return [sorted(found[place]) for place in sorted(found)]


def _marks(cards: list[SeatCard]) -> dict[str, list[int]]:
    return {
        entry: [place for card in cards if (place := card.lines[entry].place) is not None]
        for entry in cards[0].lines
    }


def test_the_lowest_sum_of_places_wins_over_the_rounds() -> None:
    # dancesportlive.com, How to judge, Skating System, page 4: places added, lowest total wins
    rounds = [placed(A="123"), placed(A="132"), placed(A="312")]
    assert places(majority_of_rounds(rounds)) == {"1": 1, "3": 2, "2": 3}


@given(_finals())
def test_every_final_is_placed_as_the_published_steps_place_it(
    rounds: list[list[SeatCard]],
) -> None:
    assert _groups(rounds) == several_dances([_marks(cards) for cards in rounds])
