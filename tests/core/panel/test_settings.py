"""A panel's settings fit its method and its seats, or are refused by name."""

from fractions import Fraction
from typing import get_args

import pytest

from events.rulebook.model import PanelMethod
from events.scoring.panel.cards import PanelUnfit
from events.scoring.panel.combine import Panel, SeatWeight, combine
from events.scoring.panel.rounds import majority_of_rounds
from tests.core.panel.seats import placed, places, row_of, scored

THREE = {"1": [72.0, 71.0, 70.0], "2": [71.0, 72.0, 72.0], "3": [70.0, 70.0, 71.0]}


def _weight(seat: str, weight: int) -> SeatWeight:
    return SeatWeight(seat=seat, weight=Fraction(weight))


@pytest.mark.parametrize(
    ("method", "figures"),
    [
        ("sum", [215, 213, 211]),
        ("mean", [Fraction(215, 3), 71, Fraction(211, 3)]),
        ("drop_high_low_sum", [72, 71, 70]),
        ("placing_values", [11, 9, 7]),
        ("weighted", [23, 16, 15]),
        ("majority", [1, 2, 3]),
    ],
)
def test_each_method_makes_its_own_figure(
    method: PanelMethod, figures: list[Fraction | int]
) -> None:
    weights = (_weight("A", 1), _weight("B", 1), _weight("C", 4)) if method == "weighted" else ()
    panel = Panel(method=method, values=(4, 3, 2), weights=weights)
    rows = combine(panel, scored({entry: list(row) for entry, row in THREE.items()}))
    assert [row.figure for row in rows] == figures


def test_separate_results_combine_nothing() -> None:
    assert combine(Panel(method="separate"), placed(A="12", B="21")) == ()


def test_high_and_low_cannot_be_dropped_from_two() -> None:
    with pytest.raises(PanelUnfit, match="three seats or more; here are 2") as refused:
        combine(Panel(method="drop_high_low_sum"), scored({"1": [70, 71]}))
    assert refused.value.field == "method"


@pytest.mark.parametrize("values", [(), (3, 4), (1, 0, -1)])
def test_values_that_are_missing_rise_or_fall_below_nought_are_refused(
    values: tuple[int, ...],
) -> None:
    with pytest.raises(PanelUnfit, match="Placing values") as refused:
        combine(Panel(method="placing_values", values=values), placed(A="12"))
    assert refused.value.field == "values"


@pytest.mark.parametrize(
    ("weights", "says"),
    [
        ((_weight("A", 1),), "the seats are A, B"),
        ((_weight("A", 1), _weight("C", 1)), "The weights name A, C"),
        ((_weight("A", 1), _weight("B", 0)), "seat B must be more than 0"),
        ((_weight("A", 1), _weight("B", 1), _weight("A", 2)), "A seat has two weights"),
    ],
)
def test_weights_that_do_not_fit_the_seats_are_refused(
    weights: tuple[SeatWeight, ...], says: str
) -> None:
    with pytest.raises(PanelUnfit, match=says) as refused:
        combine(Panel(method="weighted", values=(2, 1), weights=weights), placed(A="12", B="21"))
    assert refused.value.field == "weights"


def test_the_last_values_may_be_nought() -> None:
    rows = combine(Panel(method="placing_values", values=(5, 0)), placed(A="12"))
    assert [row.figure for row in rows] == [5, 0]


def test_entries_that_share_a_place_on_a_card_share_its_values() -> None:
    cards = scored({"1": [72, 72], "2": [71, 70], "3": [71, 69]})
    rows = combine(Panel(method="placing_values", values=(120, 105, 91)), cards)
    assert row_of(rows, "2").figure == 98 + 105
    assert row_of(rows, "3").figure == 98 + 91


def test_rounds_of_different_entries_are_refused() -> None:
    with pytest.raises(PanelUnfit, match="the same entries") as refused:
        majority_of_rounds([placed(A="12"), placed(A="123")])
    assert refused.value.field == "rounds"


def test_no_rounds_are_refused() -> None:
    with pytest.raises(PanelUnfit, match="there is one"):
        majority_of_rounds([])


def test_an_entry_without_a_place_in_one_round_takes_none_over_all() -> None:
    first = scored({"1": [70], "2": [71], "3": [69]})
    second = scored({"1": [70], "2": [None], "3": [69]})
    assert places(majority_of_rounds([first, second])) == {"1": 1, "3": 2, "2": None}


def test_rounds_say_that_the_better_places_parted_equal_sums() -> None:
    rows = majority_of_rounds([placed(A="123"), placed(A="321")])
    assert [(row.entry, row.place, row.parted_by) for row in rows] == [
        ("1", 1, "best_rounds"),
        ("3", 1, "best_rounds"),
        ("2", 3, "best_rounds"),
    ]
    assert [row.tied for row in rows] == [True, True, False]


def test_rounds_say_that_all_the_marks_together_parted_equal_sums() -> None:
    rows = majority_of_rounds([placed(A="12", B="12", C="12"), placed(A="21", B="21", C="12")])
    assert [(row.entry, row.place, row.parted_by) for row in rows] == [
        ("1", 1, "all_rounds"),
        ("2", 2, "all_rounds"),
    ]
    assert [step.says for step in rows[0].steps][:4] == [
        "Places added: 3.",
        "1st or better in 1 of 2 rounds.",
        "Rounds that are 1st or better add up to 1.",
        "Has a majority at 1st or better.",
    ]


def test_every_method_of_a_rule_book_is_known_here() -> None:
    weights = (_weight("A", 1), _weight("B", 1), _weight("C", 1))
    for method in get_args(PanelMethod):
        panel = Panel(method=method, values=(1,), weights=weights)
        rows = combine(panel, scored({"1": [70, 70, 70]}))
        assert len(rows) == (0 if method == "separate" else 1)
