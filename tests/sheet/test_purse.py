"""Prize money on a sheet: on the rows that are paid, and in a block with what is left and why."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.sheet.as_json import as_json
from service.sheet.table import as_table
from tests.sheet.sheets import faults, result, scored


def sheet(*placed: str, purse: object = None, **further: object) -> dict[str, Any]:
    """Judges who only place; entry n carries back number 100 + n."""
    count = max(len(order) for order in placed)
    return {
        "rulebook": "trail",
        "entries": [{"entry": str(n), "back_number": 100 + n} for n in range(1, count + 1)],
        "cards": [{"seat": s, "placed": list(o)} for s, o in zip("ABC", placed, strict=False)],
        **({} if purse is None else {"purse": purse}),
        **further,
    }


def paid(rows: list[dict[str, Any]]) -> dict[str, int]:
    return {row["entry"]: row["prize_cents"] for row in rows}


def test_a_schedule_that_comes_to_99_per_cent_pays_and_says_so() -> None:
    # Sport of Kings barrel race, three qualifying: 43, 33, 23.
    document = sheet("3124", purse={"cents": 100_000, "percentages": [43, "33", 23]})
    found = result(document)
    assert paid(found["seats"]["A"]["placings"]) == {"3": 43_000, "1": 33_000, "2": 23_000, "4": 0}
    assert found["purse"] == {
        "cents": 100_000,
        "seat": "A",
        "division": None,
        "paid": 99_000,
        "unscheduled": 1_000,
        "unfilled": 0,
        "odd_cents": 0,
        "notes": ["The schedule comes to 99 %, not 100 %: 1 % of the purse is not scheduled."],
    }
    table = as_table(scored(document), 80).splitlines()
    assert table[4].split() == ["Place", "Entry", "Back", "Prize"]
    assert table[5].split() == ["1", "3", "103", "430.00"]
    assert "Purse of 1000.00 for seat A: 990.00 paid, 10.00 not scheduled." in table
    assert "The schedule comes to 99 %, not 100 %: 1 % of the purse is not scheduled." in table


def test_without_a_purse_nothing_is_printed_of_one() -> None:
    found = result(sheet("12"))
    assert "purse" not in found
    assert "prize_cents" not in found["seats"]["A"]["placings"][0]
    assert "Pri" not in as_table(scored(sheet("12")), 80)


def test_the_odd_cent_goes_to_first_place_where_the_sheet_says_so() -> None:
    purse = {"cents": 101, "percentages": [50, 25, 25], "odd_cents": "to_first"}
    found = result(sheet("123", purse=purse))
    assert paid(found["seats"]["A"]["placings"]) == {"1": 51, "2": 25, "3": 25}
    kept = result(sheet("123", purse=purse | {"odd_cents": "kept"}))
    assert (kept["purse"]["odd_cents"], kept["purse"]["paid"]) == (1, 100)
    assert "Purse of 1.01 for seat A: 1.00 paid, 0.01 left by rounding." in as_table(
        scored(sheet("123", purse=purse | {"odd_cents": "kept"})), 80
    )


def test_money_of_places_that_nobody_holds_is_kept_or_shared_evenly() -> None:
    # PRCA 2019 Rule Book, R5.6.5: unfilled places are divided evenly among those who place.
    purse = {"cents": 100_000, "percentages": [40, 30, 20, 10], "unfilled": "shared_evenly"}
    assert paid(result(sheet("12", purse=purse))["seats"]["A"]["placings"]) == {
        "1": 55_000,
        "2": 45_000,
    }
    kept = result(sheet("12", purse={"cents": 100_000, "percentages": [40, 30, 20, 10]}))
    assert kept["purse"]["unfilled"] == 30_000


def test_a_panel_is_paid_together_and_a_judge_where_one_is_named() -> None:
    panel = {"method": "majority"}
    purse: dict[str, Any] = {"cents": 100, "percentages": [60, 40]}
    document = sheet("123", "213", "231", purse=purse, panel=panel)
    found = result(document)
    assert paid(found["combined"]["placings"]) == {"2": 60, "1": 40, "3": 0}
    assert "prize_cents" not in found["seats"]["A"]["placings"][0]
    text = as_table(scored(document), 80)
    assert text.count("Prize") == 1
    assert "Purse of 1.00: 1.00 paid." in text
    alone = result(sheet("123", "213", "231", purse=purse | {"seat": "A"}, panel=panel))
    assert paid(alone["seats"]["A"]["placings"]) == {"1": 60, "2": 40, "3": 0}
    assert "prize_cents" not in alone["combined"]["placings"][0]


@pytest.mark.parametrize("panel", [None, {"method": "majority"}])
def test_a_division_is_paid_by_the_places_among_its_entries(panel: object) -> None:
    purse = {"cents": 100, "percentages": [60, 40], "division": "youth"}
    further = {} if panel is None else {"panel": panel}
    document = sheet("123", purse=purse, **further)
    for entry in document["entries"][1:]:
        entry["divisions"] = ["youth"]
    found = as_json(scored(document))
    youth = found["divisions"]["youth"]
    rows = youth["combined"]["placings"] if panel else youth["seats"]["A"]["placings"]
    assert paid(rows) == {"2": 60, "3": 40}
    text = as_table(scored(document), 80)
    assert text.count("Prize") == 1
    whose = "division youth" if panel else "division youth, seat A"
    assert f"Purse of 1.00 for {whose}: 1.00 paid." in text


@pytest.mark.parametrize(
    ("purse", "fault"),
    [
        (7, "$.purse: This must be an object { }, not the number 7."),
        ({"cents": 5}, "$.purse.percentages: This is missing."),
        ({"cents": 0, "percentages": [50]}, "$.purse.cents: This must be a whole number from 1"),
        ({"cents": 5, "percentages": []}, "$.purse.percentages: This list is empty"),
        ({"cents": 5, "percentages": [60, 50]}, "$.purse.percentages: The schedule comes to 110 %"),
        ({"cents": 5, "percentages": [True]}, "$.purse.percentages[0]: This must be a percentage"),
        ({"cents": 5, "percentages": ["half"]}, "$.purse.percentages[0]: This must be a percent"),
        ({"cents": 5, "percentages": [-1]}, "$.purse.percentages[0]: This must be a percentage"),
        ({"cents": 5, "percentages": [50], "odd_cents": "lost"}, "$.purse.odd_cents: `lost` is"),
        ({"cents": 5, "percentages": [50], "division": "x"}, "$.purse.division: No entry of the"),
        ({"cents": 5, "percentages": [50], "seat": "Z"}, "$.purse.seat: Say whose result is paid"),
        ({"cents": 5, "percentages": [50], "tip": 1}, "$.purse.tip: There is no key `tip` here"),
    ],
)
def test_what_is_wrong_with_a_purse_is_named(purse: object, fault: str) -> None:
    [found] = faults(sheet("12", purse=purse))
    assert found.startswith(fault)


def test_of_several_judges_with_results_of_their_own_one_is_named() -> None:
    purse = {"cents": 100, "percentages": [100]}
    [found] = faults(sheet("12", "21", purse=purse))
    assert found.startswith("$.purse.seat: Say whose result is paid for; the judges' seats are")


@given(
    st.permutations("12345"),
    st.integers(1, 9_999),
    st.sampled_from([[50, 30, 20], [43, 33, 23], ["100/3", "100/3", "100/3"], [12.5]]),
    st.sampled_from(["kept", "to_first"]),
    st.sampled_from(["kept", "shared_evenly"]),
)
def test_money_in_is_money_out_and_what_is_stated_to_be_left(
    order: list[str], cents: int, percentages: list[object], odd_cents: str, unfilled: str
) -> None:
    purse = {
        "cents": cents,
        "percentages": percentages,
        "odd_cents": odd_cents,
        "unfilled": unfilled,
    }
    found = result(sheet("".join(order), purse=purse))
    of = found["purse"]
    assert sum(paid(found["seats"]["A"]["placings"]).values()) == of["paid"]
    assert of["paid"] + of["unscheduled"] + of["unfilled"] + of["odd_cents"] == cents
