"""Where rides without a normal score stand, and how large a class is, against what was read."""

import pytest

from tests.sheet.sheets import Rows, places, result, rows, sheet

OFF_PATTERN = {"outcome": {"kind": "off_pattern", "maneuver": 2}}
RIDER = {"western-horsemanship": 2, "hunt-seat-equitation-flat": 2}


def ride(book: str, mark: float, **more: object) -> dict[str, object]:
    """A ride of two maneuvers with the same mark."""
    return {"marks": [mark, mark], "rider_mark": RIDER.get(book), **more}


def called(book: str, kind: str) -> dict[str, object]:
    return ride(book, 1, outcome={"kind": kind})


def unplaced(document: dict[str, object]) -> Rows:
    return [row for row in rows(document) if row["place"] is None]


@pytest.mark.parametrize(
    "book", ["western-horsemanship", "hunt-seat-equitation-flat", "ranch-riding"]
)
def test_a_run_off_pattern_stands_below_every_complete_one_however_well_it_was_ridden(
    book: str,
) -> None:
    # Supreme Cowgirl Challenge, pasture trail rules: off pattern may not place above any entry
    # that completed the pattern. The same in western horsemanship: common practice.
    rides = {
        "1": ride(book, 1.5, **OFF_PATTERN),
        "2": ride(book, -1.5),
        "3": ride(book, 0.5, **OFF_PATTERN),
        "4": ride(book, 0),
    }
    assert places(sheet(book, rides)) == {"4": 1, "2": 2, "1": 3, "3": 4}


def test_two_runs_off_pattern_with_equal_totals_share_the_place() -> None:
    # Common practice: off-pattern runs rank among themselves like any others.
    book = "western-horsemanship"
    rides = {"1": ride(book, 1, **OFF_PATTERN), "2": ride(book, 1, **OFF_PATTERN)}
    assert places(sheet(book, {**rides, "3": ride(book, -3)})) == {"3": 1, "1": 2, "2": 2}


def test_a_severe_fault_is_placed_below_everybody_without_one() -> None:
    # AQHA 2015 Rule Book (Australian Quarter Horse Association), pp. 126, 139: not eliminated, but
    # placed below all who have none.
    book = "equitation-hundred"
    rides = {"1": called(book, "severe_fault"), "2": ride(book, -10), "3": ride(book, 0)}
    found = rows(sheet(book, rides))
    assert [(row["entry"], row["place"]) for row in found] == [("3", 1), ("2", 2), ("1", 3)]
    assert found[2]["total"] == 72


@pytest.mark.parametrize("book", ["trail", "western-riding", "ranch-riding", "reining"])
def test_a_zero_is_shown_as_nought_and_never_places(book: str) -> None:
    # American Mule Association rule book, rules 231-232: a zero never places. For reining from
    # memory: some bodies place it after all scores.
    document = sheet(book, {"1": ride(book, 0), "2": called(book, "zero")})
    assert [(row["entry"], row["total"]) for row in unplaced(document)] == [("2", 0)]
    assert result(document)["class_size"] == 2


def test_no_score_never_places_and_still_counts_as_an_entry() -> None:
    # NRCHA 2024 study text (secondary): a no score counts as an entry in the class size.
    document = sheet("reining", {"1": ride("reining", 0), "2": called("reining", "no_score")})
    assert [(row["entry"], row["total"]) for row in unplaced(document)] == [("2", None)]
    assert result(document)["class_size"] == 2


@pytest.mark.parametrize(
    "book", ["western-horsemanship", "trail", "reining", "western-riding", "showmanship-twenty"]
)
def test_a_disqualified_entry_that_was_shown_counts_in_the_class_size(book: str) -> None:
    # Note on American rule SHW260, americashorse.tv: a disqualified entry counts if exhibited.
    document = sheet(book, {"1": ride(book, 0), "2": called(book, "disqualified")})
    assert [(row["entry"], row["total"]) for row in unplaced(document)] == [("2", None)]
    assert result(document)["class_size"] == 2


def test_a_scratched_entry_does_not_count_in_the_class_size() -> None:
    # Note on American rule SHW260, americashorse.tv: scratched before the class, not counted.
    document = sheet("trail", {"1": ride("trail", 0)}, scratched=["2"])
    assert [row["entry"] for row in rows(document)] == ["1"]
    assert result(document)["class_size"] == 1


def test_an_entry_that_missed_the_gate_does_not_count_and_an_excused_one_does() -> None:
    # Common practice; Missouri Fox Trotting rule book, p. 9, closes the gate after a warning.
    rides = {"1": ride("trail", 0), "2": called("trail", "missed_gate")}
    assert result(sheet("trail", rides))["class_size"] == 1
    assert result(sheet("trail", {**rides, "3": called("trail", "excused")}))["class_size"] == 2


def test_unplaced_entries_follow_the_placed_ones_in_working_order() -> None:
    # Common practice: they are read out last, and nothing ranks them among themselves.
    rides = {
        "12": called("trail", "disqualified"),
        "3": called("trail", "zero"),
        "7": ride("trail", -1.5),
    }
    assert [row["entry"] for row in rows(sheet("trail", rides))] == ["7", "3", "12"]
