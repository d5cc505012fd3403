"""Placing values against the IHSA Western Scoring Explanation and the 2018 AMHA World program."""

import pytest

from events.scoring.exact import exact
from events.scoring.panel.combine import Panel, SeatWeight, combine
from events.scoring.panel.ties import TieJudge
from events.scoring.panel.values import placing_values
from tests.core.panel.seats import placed, places, row_of, scored

# IHSA Western Scoring Explanation (paperzz.com/doc/7195413): 1st to 15th
IHSA = (120, 105, 91, 78, 66, 55, 45, 36, 28, 21, 15, 10, 6, 3, 1)
# 2018 AMHA World Championship Program, page 12: 1st to 10th
AMHA = (10, 9, 8, 7, 6, 5, 4, 3, 2, 1)


def test_the_published_values_are_the_triangular_numbers() -> None:
    assert tuple(n * (n + 1) // 2 for n in range(15, 0, -1)) == IHSA


@pytest.mark.parametrize("number", range(15))
def test_each_published_place_brings_its_published_value(number: int) -> None:
    order = [f"{entry:02}" for entry in range(1, 17)]
    rows = placing_values(placed(A=order), IHSA)
    assert row_of(rows, order[number]).figure == IHSA[number]


def test_second_with_third_makes_the_published_true_tie_of_196() -> None:
    # The example there: judge 1 has 88 second and 99 third, judge 2 the other way round.
    cards = placed(judge1=("11", "88", "99"), judge2=("11", "99", "88"))
    rows = placing_values(cards, IHSA)
    assert places(rows) == {"11": 1, "88": 2, "99": 2}
    assert [row.figure for row in rows] == [240, 196, 196]


@pytest.mark.parametrize(("class_number", "winner"), [(1, "88"), (2, "99"), (13, "88"), (14, "99")])
def test_the_tie_goes_to_judge_1_in_odd_classes_and_to_judge_2_in_even_ones(
    class_number: int, winner: str
) -> None:
    panel = Panel(
        method="placing_values", values=IHSA, tie_judge=TieJudge(odd="judge1", even="judge2")
    )
    cards = placed(judge1=("11", "88", "99"), judge2=("11", "99", "88"))
    rows = combine(panel, cards, class_number=class_number)
    assert places(rows)[winner] == 2
    assert row_of(rows, winner).parted_by == "call_judge"


def test_reining_scores_of_both_judges_are_added_and_the_tie_judge_parts_equal_sums() -> None:
    # IHSA Western Scoring Explanation, Reining
    panel = Panel(method="sum", tie_judge=TieJudge(odd="A", even="B"))
    cards = scored({"1": [70, 71.5], "2": [71, 70.5], "3": [69, 69]})
    assert [row.figure for row in combine(panel, cards, class_number=7)] == [141.5, 141.5, 138]
    assert places(combine(panel, cards, class_number=7)) == {"2": 1, "1": 2, "3": 3}
    assert places(combine(panel, cards, class_number=8)) == {"1": 1, "2": 2, "3": 3}


def test_a_tie_on_the_first_call_judges_card_moves_to_the_second() -> None:
    # 2018 AMHA World Championship Program, page 12: first, second, then third call judge. Neither
    # of the two is among the places of the first call judge.
    cards = placed(A=("3",), B=("1", "2", "3"), C=("2", "1", "3"))
    panel = Panel(method="placing_values", values=AMHA, call_judges=("A", "B", "C"))
    assert places(combine(panel, cards)) == {"3": 1, "1": 2, "2": 3}
    last = Panel(method="placing_values", values=AMHA, call_judges=("A", "C", "B"))
    assert places(combine(last, cards)) == {"3": 1, "2": 2, "1": 3}


def test_thirty_thirty_forty_lets_the_call_judge_outweigh_one_other_but_not_two() -> None:
    # ghrachampionship.com, show information: 30 % and 30 %, 40 % for the day's call judge
    weights = tuple(
        SeatWeight(seat=seat, weight=exact(part))
        for seat, part in (("A", 0.3), ("B", 0.3), ("C", 0.4))
    )
    panel = Panel(method="weighted", values=(2, 1), weights=weights)
    assert places(combine(panel, placed(A="12", B="12", C="21"))) == {"1": 1, "2": 2}
    rows = combine(panel, placed(A="12", B="21", C="21"))
    assert [(row.entry, row.figure) for row in rows] == [("2", exact(1.7)), ("1", exact(1.3))]
