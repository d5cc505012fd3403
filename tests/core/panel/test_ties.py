"""What parts entries that a panel leaves equal, and what the placing says of it."""

import pytest

from events.scoring.panel.cards import PanelUnfit
from events.scoring.panel.combine import Panel, combine
from events.scoring.panel.majority import majority
from events.scoring.panel.ties import RunOff, TieJudge, TieRules
from events.scoring.panel.totals import total_sum
from tests.core.panel.seats import places, row_of, scored

TIED = {"1": [70, 72], "2": [72, 70], "3": [71, 71], "4": [60, 60]}


def _tied() -> dict[str, list[float | None]]:
    return {entry: list(marks) for entry, marks in TIED.items()}


def test_without_tie_rules_equal_figures_share_the_place() -> None:
    rows = total_sum(scored(_tied()))
    assert [(row.entry, row.place, row.tied) for row in rows] == [
        ("1", 1, True),
        ("2", 1, True),
        ("3", 1, True),
        ("4", 4, False),
    ]
    assert {row.parted_by for row in rows} == {None}


def test_the_call_judges_card_parts_equal_figures_and_is_named() -> None:
    rows = total_sum(scored(_tied()), TieRules(call_judges=("B",)))
    assert places(rows) == {"1": 1, "3": 2, "2": 3, "4": 4}
    assert [row.parted_by for row in rows] == ["call_judge", "call_judge", "call_judge", None]
    assert [step.says for step in rows[0].steps] == [
        "No outcome stands against it on most seats.",
        "Sum of the totals: 142.",
        "Seat B, whose card breaks ties, placed it 1st.",
    ]


def test_a_place_that_the_figure_alone_settles_shows_the_figure_alone() -> None:
    rows = total_sum(scored(_tied()), TieRules(call_judges=("B",)))
    assert [step.name for step in row_of(rows, "4").steps] == ["outcome", "figure"]


def test_an_entry_that_the_call_judge_did_not_place_comes_last_of_the_tied() -> None:
    rows = total_sum(scored({"1": [140, None], "2": [70, 70]}), TieRules(call_judges=("B",)))
    assert places(rows) == {"2": 1, "1": 2}
    assert row_of(rows, "1").steps[-1].says == "Seat B, whose card breaks ties, gave it no place."


def test_a_run_off_parts_those_who_rode_it() -> None:
    run_off = RunOff(order=("3", "1", "2"))
    rows = total_sum(scored(_tied()), TieRules(run_offs=(run_off,)))
    assert places(rows) == {"3": 1, "1": 2, "2": 3, "4": 4}
    assert row_of(rows, "3").parted_by == "run_off"
    assert row_of(rows, "3").steps[-1].says == "It came 1st in the run-off."


def test_who_declines_while_another_rides_forfeits_first() -> None:
    # NRHA Rules for Judging, B(2)
    run_off = RunOff(order=("2",), declined=("1", "3"))
    rows = total_sum(scored(_tied()), TieRules(run_offs=(run_off,)))
    assert places(rows) == {"2": 1, "1": 2, "3": 2, "4": 4}
    assert row_of(rows, "1").steps[-1].says == "It declined the run-off that others rode."


def test_when_all_decline_they_are_co_champions() -> None:
    # NRHA Rules for Judging, B(2): co-champions, a coin for the award
    run_off = RunOff(declined=("1", "2", "3"), award_to="2")
    rows = total_sum(scored(_tied()), TieRules(run_offs=(run_off,)))
    assert places(rows) == {"1": 1, "2": 1, "3": 1, "4": 4}
    assert row_of(rows, "2").tied
    assert row_of(rows, "2").parted_by is None
    assert row_of(rows, "2").steps[-1].says == (
        "All who were tied declined a run-off and share the place."
    )


def test_a_run_off_lifts_nobody_over_a_better_figure() -> None:
    run_off = RunOff(order=("4", "3"))
    rows = total_sum(scored(_tied()), TieRules(run_offs=(run_off,)))
    assert places(rows) == {"3": 1, "1": 2, "2": 2, "4": 4}
    assert row_of(rows, "1").steps[-1].says == "It was not in the run-off."


def test_the_call_judge_comes_before_the_run_off() -> None:
    rows = total_sum(
        scored(_tied()), TieRules(call_judges=("A",), run_offs=(RunOff(order=("1", "2")),))
    )
    assert places(rows) == {"2": 1, "3": 2, "1": 3, "4": 4}


def test_majority_says_how_each_step_decided() -> None:
    table: dict[str, list[float | None]] = {"1": [72, 72, 70], "2": [71, 70, 72], "3": [70, 71, 71]}
    rows = majority(scored(table))
    assert [step.says for step in row_of(rows, "1").steps] == [
        "No outcome stands against it on most seats.",
        "Has a majority at 1st or better.",
    ]
    assert [step.says for step in row_of(rows, "2").steps[1:]] == [
        "Has a majority at 2nd or better.",
        "2 of 3 judges have it 2nd or better.",
        "Its places that are 2nd or better add up to 3.",
    ]
    assert row_of(rows, "2").parted_by == "majority_total"


def test_a_call_judge_who_is_not_on_the_panel_is_refused() -> None:
    with pytest.raises(PanelUnfit, match="Seat D, whose card breaks ties") as refused:
        total_sum(scored(_tied()), TieRules(call_judges=("A", "D")))
    assert refused.value.field == "call_judge"


def test_a_tie_judge_needs_the_number_of_the_class() -> None:
    panel = Panel(method="sum", tie_judge=TieJudge(odd="A", even="B"))
    with pytest.raises(PanelUnfit, match="number of the class") as refused:
        combine(panel, scored(_tied()))
    assert refused.value.field == "class_number"


def test_a_call_judge_and_a_tie_judge_exclude_each_other() -> None:
    panel = Panel(method="sum", call_judges=("A",), tie_judge=TieJudge(odd="A", even="B"))
    with pytest.raises(PanelUnfit, match="not both") as refused:
        combine(panel, scored(_tied()), class_number=1)
    assert refused.value.field == "tie_judge"


def test_a_run_off_reaches_the_placing_through_the_panels_settings() -> None:
    rows = combine(Panel(method="mean"), scored(_tied()), run_offs=[RunOff(order=("2", "1", "3"))])
    assert places(rows) == {"2": 1, "1": 2, "3": 3, "4": 4}
