"""The JSON object that a scored sheet prints."""

from typing import Any

from tests.sheet.sheets import result, rows, sheet

# The sheet that the form was agreed on.
AGREED: dict[str, Any] = {
    "rulebook": "western-horsemanship",
    "maneuvers": ["Walk", "Jog circle left", "Stop and back"],
    "entries": [{"entry": "1", "back_number": 214}, {"entry": "2", "back_number": 87}],
    "cards": [
        {
            "seat": "A",
            "rides": [
                {
                    "entry": "1",
                    "marks": [1, 0.5, -0.5],
                    "rider_mark": 3,
                    "penalties": [
                        {"maneuver": 2, "points": 3},
                        {"maneuver": 3, "code": "stop-late"},
                    ],
                },
                {
                    "entry": "2",
                    "marks": [0, 0, 0],
                    "rider_mark": 2,
                    "outcome": {
                        "kind": "off_pattern",
                        "maneuver": 3,
                        "reason": "passed the wrong side of the cone",
                    },
                },
            ],
            "rail": [{"order": ["1", "2"], "reason": "softer transitions"}],
        }
    ],
}


def test_the_agreed_sheet_gives_exactly_the_agreed_form() -> None:
    # 70 + 1 + 0.5 - 0.5 + 3 - 3 - 5, `stop-late` being a penalty of 5.
    first = {"entry": "1", "back_number": 214, "place": 1, "tied": False, "total": 66}
    second = {"entry": "2", "back_number": 87, "place": 2, "tied": False, "total": 72}
    assert result(AGREED) == {
        "seats": {
            "A": {
                "placings": [
                    {**first, "outcome": None, "stale": False},
                    {**second, "outcome": "off_pattern", "stale": False},
                ]
            }
        },
        "class_size": 2,
        "warnings": [],
    }


def test_totals_are_plain_numbers_whole_ones_without_a_point() -> None:
    whole, half = rows(sheet("trail", {"1": {"marks": [1.0]}, "2": {"marks": [0.5]}}))
    assert (repr(whole["total"]), repr(half["total"])) == ("71", "70.5")


def test_entries_are_any_distinct_numbers_and_stand_in_their_order() -> None:
    unmarked: dict[str, dict[str, Any]] = {"12": {}, "3": {}, "107": {}, "7": {}}
    document = sheet("trail", {**unmarked, "5": {"marks": [0]}})
    assert [row["entry"] for row in rows(document)] == ["5", "3", "7", "12", "107"]


def test_a_ride_with_a_mark_missing_has_no_place_and_is_warned_of() -> None:
    rides: dict[str, dict[str, Any]] = {
        "1": {"marks": [0, None], "rider_mark": 3},
        "2": {"marks": [0], "rider_mark": 3},
        "3": {"marks": [0, 0]},
        "4": {"marks": [0, 0], "rider_mark": None},
        "5": {"marks": [0, 0], "rider_mark": 3},
        "6": {},
    }
    found = result(sheet("western-horsemanship", rides, maneuvers=["Walk", "Stop"]))
    placings = found["seats"]["A"]["placings"]
    assert [(row["entry"], row["place"], row["total"]) for row in placings] == [
        ("5", 1, 73),
        *((entry, None, None) for entry in "12346"),
    ]
    form, stop = "Form and effectiveness", "maneuver 2 (Stop)"
    assert found["warnings"] == [
        f"Seat A: entry 1 (back number 101) still wants a mark for {stop}; it has no total yet.",
        f"Seat A: entry 2 (back number 102) still wants a mark for {stop}; it has no total yet.",
        f"Seat A: entry 3 (back number 103) still wants a mark for {form}; it has no total yet.",
        f"Seat A: entry 4 (back number 104) still wants a mark for {form}; it has no total yet.",
        "Seat A: nothing is marked for entry 6 (back number 106); it has no total yet.",
    ]
    assert found["class_size"] == 6


def test_an_entry_without_a_ride_on_a_card_is_incomplete_there() -> None:
    document = sheet("trail", {"1": {"marks": [0]}, "2": {"marks": [1]}})
    document["cards"].append({"seat": "B", "rides": document["cards"][0]["rides"][:1]})
    assert [row["place"] for row in rows(document, "A")] == [1, 2]
    assert [row["place"] for row in rows(document, "B")] == [1, None]
    assert result(document)["warnings"] == [
        "Seat B: nothing is marked for entry 2 (back number 102); it has no total yet."
    ]


def test_a_ride_that_needs_no_total_is_not_warned_of() -> None:
    rides: dict[str, dict[str, Any]] = {
        "1": {"marks": [0]},
        "2": {"outcome": {"kind": "disqualified"}},
    }
    assert result(sheet("trail", rides))["warnings"] == []


def test_seats_stand_in_order_whatever_the_order_of_the_cards() -> None:
    document = sheet("trail", {"1": {"marks": [0]}})
    card = document["cards"][0]
    document["cards"] = [{**card, "seat": seat} for seat in ("C", "A", "B")]
    assert list(result(document)["seats"]) == ["A", "B", "C"]


def test_a_ride_may_carry_its_back_number_too() -> None:
    document = sheet("trail", {"1": {"marks": [0], "back_number": 101}})
    assert rows(document)[0]["back_number"] == 101


def test_observations_cost_nothing() -> None:
    noted = [
        {"code": "eyes-down", "maneuver": 1, "note": "twice"},
        {"code": "eyes-down", "maneuver": 1},
    ]
    ride = {"marks": [0], "rider_mark": 0, "observations": noted}
    assert rows(sheet("western-horsemanship", {"1": ride}))[0]["total"] == 70
