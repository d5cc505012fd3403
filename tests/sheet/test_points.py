"""Points on each row of a sheet's result, by a shipped table or one given in the sheet."""

import json
from typing import Any

import pytest

from service.sheet.as_json import as_json
from service.sheet.faults import SheetRefused
from service.sheet.score import score_sheet
from service.sheet.table import as_table


def sheet(points: object, *order: str, size: int | None = None) -> dict[str, Any]:
    count = size or len(order)
    return {
        "rulebook": "trail",
        "entries": [{"entry": str(n), "back_number": 100 + n} for n in range(1, count + 1)],
        "cards": [{"seat": "A", "placed": list(order)}],
        "points": points,
    }


def points_of(document: dict[str, Any]) -> dict[str, float | None]:
    rows = as_json(score_sheet(json.dumps(document).encode()))["seats"]["A"]["placings"]
    return {row["entry"]: row["points"] for row in rows}


def test_one_point_for_each_entry_beaten_and_one_more_for_the_winner() -> None:
    # AzRCHA awards; CCHA rule 9: five shown earn 5, 3, 2, 1, 0.
    found = points_of(sheet("one-per-entry-beaten", "3", "1", "2", "5", "4"))
    assert found == {"3": 5, "1": 3, "2": 2, "5": 1, "4": 0}


def test_a_table_counts_by_the_size_of_the_class() -> None:
    # AQHA per judge (SHW260; americashorse.tv, 2016): 3 horses, first place 0.5.
    assert points_of(sheet("aqha-per-judge", "1", "2", "3")) == {"1": 0.5, "2": 0, "3": 0}


def test_an_entry_shown_but_not_placed_earns_what_the_table_gives_for_taking_part() -> None:
    # gchsc.org/high-point, 2024: unplaced but shown: 1.
    found = points_of(sheet("gchsc-high-point", "1", "2", size=3))
    assert found == {"1": 4, "2": 3, "3": 1}


def test_tied_entries_share_the_points_of_the_places_they_cover() -> None:
    # californiacowhorse.com, 2018: tied places share the points of the places they cover.
    document = sheet("one-per-entry-beaten", size=3)
    document["maneuvers"] = ["Gate"]
    rides = [{"entry": n, "marks": [m]} for n, m in (("1", 1), ("2", 1), ("3", 0))]
    document["cards"] = [{"seat": "A", "rides": rides}]
    assert points_of(document) == {"1": 2, "2": 2, "3": 0}
    text = as_table(score_sheet(json.dumps(document).encode()), 80)
    assert "Points" in text.splitlines()[5]


def test_the_panel_and_each_division_earn_points_of_their_own() -> None:
    document = sheet("one-per-entry-beaten", "1", "2", "3")
    document["cards"].append({"seat": "B", "placed": ["2", "1", "3"]})
    document["cards"].append({"seat": "C", "placed": ["2", "1", "3"]})
    document["panel"] = {"method": "majority"}
    document["entries"][2]["divisions"] = ["novice"]
    found = as_json(score_sheet(json.dumps(document).encode()))
    together = {row["entry"]: row["points"] for row in found["combined"]["placings"]}
    assert together == {"2": 3, "1": 1, "3": 0}
    [novice] = found["divisions"]["novice"]["combined"]["placings"]
    assert novice["points"] == 1


@pytest.mark.parametrize(("calls", "points"), [(0, 2), (1, 2), (2, 0), (3, 0)])
def test_an_outcome_costs_points_together_once_more_than_half_of_the_judges_call_it(
    calls: int, points: float
) -> None:
    # GCHSC, 2024: who shows without a place has a point, unless disqualified.
    rides = [{"entry": "1", "marks": [1]}, {"entry": "2", "marks": [0]}]
    thrown_out = [rides[0], {"entry": "2", "outcome": {"kind": "disqualified"}}]
    document = sheet("gchsc-high-point", size=2)
    document |= {"maneuvers": ["Gate"], "panel": {"method": "placing_values", "values": [2, 1]}}
    document["cards"] = [
        {"seat": seat, "rides": thrown_out if number < calls else rides}
        for number, seat in enumerate("ABC")
    ]
    found = as_json(score_sheet(json.dumps(document).encode()))
    last = found["combined"]["placings"][1]
    assert (last["entry"], last["points"]) == ("2", points)


def test_a_table_that_says_nothing_of_so_small_a_class_is_said_so() -> None:
    # AMHA World: ten to one in classes of ten or more; smaller ones could not be read.
    document = sheet("amha-world-awards", "1", "2")
    assert points_of(document) == {"1": None, "2": None}
    scored = score_sheet(json.dumps(document).encode())
    assert scored.warnings == (
        "Seat A: the points table amha-world-awards says nothing of a class of this size.",
    )
    assert "-" in as_table(scored, 80)


@pytest.mark.parametrize(
    ("points", "fault"),
    [
        ("three-two-one", "$.points: There is no points table `three-two-one` here"),
        (7, "$.points: This must be the id of a points table"),
        ({"sizes": 3}, "$.points"),
    ],
)
def test_what_is_wrong_with_the_points_is_named(points: object, fault: str) -> None:
    with pytest.raises(SheetRefused) as refused:
        score_sheet(json.dumps(sheet(points, "1", "2")).encode())
    assert any(str(each).startswith(fault) for each in refused.value.faults)
