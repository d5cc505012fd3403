"""Sheets whose judges place, time, sit on panels, or are learning; and divisions in them."""

import json
from typing import Any

import pytest

from service.sheet.as_json import as_json
from service.sheet.faults import SheetRefused
from service.sheet.score import score_sheet
from service.sheet.table import as_table

ENTRIES: list[dict[str, Any]] = [
    {"entry": str(number), "back_number": 100 + number} for number in range(1, 5)
]


def sheet(*cards: dict[str, Any], **more: Any) -> dict[str, Any]:  # noqa: ANN401 - JSON
    return {"rulebook": "trail", "entries": ENTRIES, "cards": list(cards), **more}


def result(document: dict[str, Any]) -> dict[str, Any]:
    return as_json(score_sheet(json.dumps(document).encode()))


def faults(document: dict[str, Any]) -> list[str]:
    with pytest.raises(SheetRefused) as refused:
        score_sheet(json.dumps(document).encode())
    return [str(fault) for fault in refused.value.faults]


def placed(seat: str, *order: str, **more: Any) -> dict[str, Any]:  # noqa: ANN401 - JSON
    return {"seat": seat, "placed": list(order), **more}


def places(of: dict[str, Any]) -> dict[str, int | None]:
    return {row["entry"]: row["place"] for row in of["placings"]}


def test_a_judge_who_only_places_leaves_the_others_without_a_place() -> None:
    found = result(sheet(placed("A", "3", "1")))
    assert places(found["seats"]["A"]) == {"3": 1, "1": 2, "2": None, "4": None}
    assert {row["total"] for row in found["seats"]["A"]["placings"]} == {None}
    assert found["class_size"] == 4
    assert found["warnings"] == []
    assert "combined" not in found


def test_times_rank_least_first_with_their_penalty_time() -> None:
    times = [
        {"entry": "1", "seconds": 17.532, "penalty_seconds": 5},
        {"entry": "2", "seconds": 18},
        {"entry": "3", "seconds": 18.0},
        {"entry": "4", "no_time": True},
    ]
    found = result(sheet({"seat": "A", "times": times}))
    rows = {row["entry"]: row for row in found["seats"]["A"]["placings"]}
    assert [rows[entry]["place"] for entry in "1234"] == [3, 1, 1, None]
    assert [rows[entry]["tied"] for entry in "1234"] == [False, True, True, False]
    assert [rows[entry]["total"] for entry in "1234"] == [22.532, 18, 18, None]
    assert rows["4"]["outcome"] == "no_time"
    text = as_table(score_sheet(json.dumps(sheet({"seat": "A", "times": times})).encode()), 80)
    assert "22.532" in text
    assert "no time" in text


def test_a_panel_by_placing_values_adds_them_up() -> None:
    # IHSA Western Scoring Explanation: 120, 105, 91, 78 for the first four places.
    panel = {"method": "placing_values", "values": [120, 105, 91, 78]}
    cards = [placed("A", "1", "2", "3", "4"), placed("B", "2", "1", "4", "3")]
    found = result(sheet(*cards, panel=panel))["combined"]["placings"]
    assert [(r["entry"], r["place"], r["tied"], r["total"]) for r in found] == [
        ("1", 1, True, 225),
        ("2", 1, True, 225),
        ("3", 3, True, 169),
        ("4", 3, True, 169),
    ]


def test_a_tie_judge_is_fixed_by_the_number_of_the_class() -> None:
    # IHSA Western Scoring Explanation: odd classes go to judge 1, even ones to judge 2.
    panel = {
        "method": "placing_values",
        "values": [120, 105, 91, 78],
        "tie_judge": {"odd": "A", "even": "B"},
    }
    cards = [placed("A", "1", "2", "3", "4"), placed("B", "2", "1", "4", "3")]
    odd = result(sheet(*cards, panel=panel, class_number=11))["combined"]
    even = result(sheet(*cards, panel=panel, class_number=12))["combined"]
    assert places(odd) == {"1": 1, "2": 2, "3": 3, "4": 4}
    assert places(even) == {"2": 1, "1": 2, "4": 3, "3": 4}
    assert faults(sheet(*cards, panel=panel))[0].startswith("$.panel: ")


def test_weights_are_taken_as_they_are_written() -> None:
    # ghrachampionship.com/showinfo: judges weigh 30, 30 and 40 per cent.
    panel = {
        "method": "weighted",
        "values": [10, 9, 8, 7],
        "weights": {"A": 0.3, "B": 0.3, "C": 0.4},
    }
    cards = [placed("A", *"1234"), placed("B", *"1234"), placed("C", *"4321")]
    found = result(sheet(*cards, panel=panel))["combined"]["placings"]
    totals = {row["entry"]: row["total"] for row in found}
    assert totals == {"1": 8.8, "2": 8.6, "3": 8.4, "4": 8.2}


def test_five_judges_lose_their_highest_and_lowest_score() -> None:
    # C. Crumpler, The Numbers Don't Lie, Equine Chronicle: 71 + 71.5 + 70 = 212.5 of five.
    marks = {"A": [1], "B": [1.5], "C": [0], "D": [-1], "E": [1.5]}
    cards: list[dict[str, Any]] = [
        {"seat": seat, "rides": [{"entry": "1", "marks": given}]} for seat, given in marks.items()
    ]
    document = sheet(*cards, panel={"method": "drop_high_low_sum"}, maneuvers=["Gate"])
    document["entries"] = ENTRIES[:1]
    [row] = result(document)["combined"]["placings"]
    assert (row["place"], row["total"]) == (1, 212.5)


def test_a_seat_that_did_not_finish_is_an_error_with_its_name() -> None:
    cards: list[dict[str, Any]] = [
        {"seat": "A", "rides": [{"entry": "1", "marks": [1]}]},
        {"seat": "B", "rides": []},
    ]
    document = sheet(*cards, panel={"method": "sum"}, maneuvers=["Gate"])
    document["entries"] = ENTRIES[:1]
    assert faults(document) == [
        "$.panel: The cards cannot be combined: seat B has not finished; entry 1 is open."
    ]


@pytest.mark.parametrize("method", ["sum", "mean", "drop_high_low_sum"])
def test_places_without_scores_are_not_added_up(method: str) -> None:
    cards = [placed(seat, *"1234") for seat in "ABC"]
    [fault] = faults(sheet(*cards, panel={"method": method}))
    assert fault.startswith("$.panel: The cards cannot be combined: Cards of a placed class hold")


def test_a_divisions_table_shows_what_its_places_rest_on() -> None:
    rides = [{"entry": str(n), "marks": [m]} for n, m in ((1, 1), (2, 0), (3, -1), (4, 0.5))]
    document = sheet({"seat": "A", "rides": rides}, maneuvers=["Gate"])
    document["points"] = "one-per-entry-beaten"
    document["entries"] = [
        entry | ({"divisions": ["youth"]} if entry["entry"] in "24" else {}) for entry in ENTRIES
    ]
    table = as_table(score_sheet(json.dumps(document).encode()), 80)
    youth = table[table.index("Division youth") :].splitlines()
    assert youth[1].split() == ["Place", "Entry", "Back", "Total", "Points"]
    assert [line.split()[3:] for line in youth[2:4]] == [["70.5", "2"], ["70", "0"]]


def test_a_division_has_its_own_places_and_class_size() -> None:
    document = sheet(placed("A", *"1234"), placed("B", *"2143"), panel={"method": "sum"})
    document["panel"] = {"method": "majority"}
    document["entries"] = [
        entry | ({"divisions": ["youth"]} if entry["entry"] in "24" else {}) for entry in ENTRIES
    ]
    youth = result(document)["divisions"]["youth"]
    assert youth["class_size"] == 2
    assert places(youth["seats"]["A"]) == {"2": 1, "4": 2}
    assert places(youth["combined"]) == {"2": 1, "4": 2}
    assert "Division youth" in as_table(score_sheet(json.dumps(document).encode()), 80)


@pytest.mark.parametrize(
    ("order", "score"), [("3214", 50), ("2341", 46), ("3124", 42)], ids=["same", "close", "worse"]
)
def test_a_learner_is_scored_by_cuts_and_never_counts(order: str, score: int) -> None:
    # K. Gordon, Scoring of Contests, University of Maryland Extension: official 3-2-1-4, 2-8-2.
    document = sheet(placed("A", *"3214"), placed("L", *order, learner=True), cuts=[2, 8, 2])
    found = result(document)
    assert list(found["seats"]) == ["A"]
    assert found["learners"]["L"]["score"] == score
    assert f"{score} by cuts" in as_table(score_sheet(json.dumps(document).encode()), 80)


def test_a_learner_may_only_place_what_judges_score() -> None:
    rides = [{"entry": str(n), "marks": [m]} for n, m in ((1, 1), (2, 0), (3, -1), (4, 0.5))]
    learner = placed("L", "1", "4", "2", "3", learner=True)
    document = sheet({"seat": "A", "rides": rides}, learner, cuts=[2, 5, 3], maneuvers=["Gate"])
    found = result(document)
    assert found["learners"] == {"L": {"score": 50}}
    del document["cuts"]
    assert result(document)["learners"] == {"L": {"score": None}}


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        ({"cards": [{"seat": "A"}]}, "$.cards[0].rides: This is missing"),
        (
            {"cards": [{"seat": "A", "placed": [], "times": []}]},
            "$.cards[0].times: This card has placed already",
        ),
        ({"cards": [placed("A", "9")]}, "$.cards[0].placed[0]: There is no entry 9"),
        ({"cards": [placed("A", "1", "1")]}, "$.cards[0].placed[1]: Entry 1 stands"),
        ({"cards": [{"seat": "A", "times": [{"entry": "1"}]}]}, "$.cards[0].times[0]: A ride has"),
        (
            {"cards": [{"seat": "A", "times": [{"entry": "1", "seconds": 1.2345}]}]},
            "$.cards[0].times[0].seconds: Seconds are given to the thousandth",
        ),
        (
            {"cards": [{"seat": "A", "times": [{"entry": "1", "seconds": 3, "no_time": True}]}]},
            "$.cards[0].times[0].no_time: A ride with a time",
        ),
        (
            {"cards": [{"seat": "A", "times": [{"entry": "1", "seconds": -1}]}]},
            "$.cards[0].times[0].seconds: This must be from 0",
        ),
        (
            {"cards": [{"seat": "A", "times": [{"entry": "1", "seconds": "x"}]}]},
            "$.cards[0].times[0].seconds: This must be a number of seconds",
        ),
        (
            {"cards": [placed("A", "1") | {"rail": []}]},
            "$.cards[0].rail: Rail work belongs",
        ),
        (
            {"cards": [placed("A", "1"), {"seat": "B", "rides": []}]},
            "$.cards[1]: The judges' cards of a sheet",
        ),
        ({"panel": {"method": "votes"}}, "$.panel.method: `votes` is not known here"),
        ({"panel": {"method": "weighted"}}, "$.panel.values: A panel by weighted"),
        (
            {"panel": {"method": "weighted", "values": [1], "weights": {"A": 0}}},
            "$.panel.weights.A: This must be a weight above 0",
        ),
        ({"cuts": [-1]}, "$.cuts[0]: This must be a whole number from 0 up"),
    ],
)
def test_what_is_wrong_is_named_by_its_path(change: dict[str, Any], fault: str) -> None:
    document = sheet(placed("A", "1", "2", "3", "4")) | change
    assert any(each.startswith(fault) for each in faults(document)), faults(document)
