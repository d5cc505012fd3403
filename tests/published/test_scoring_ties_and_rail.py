"""Places, shared places, and what parts them, against published rules and a reference library."""

from collections.abc import Mapping

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import rankdata

from events.scoring.placing import place
from events.scoring.total import RideFacts, score
from service.books import shipped_book
from tests.sheet.sheets import faults, places, rows, sheet

BOOK = "western-horsemanship"


def with_totals(totals: Mapping[str, float]) -> dict[str, dict[str, object]]:
    """Horsemanship rides of two maneuvers that come to these totals, from 64 to 81."""
    rides: dict[str, dict[str, object]] = {}
    for entry, points in totals.items():
        first = max(-3.0, min(3.0, points - 70))
        second = max(-3.0, min(3.0, points - 70 - first))
        rides[entry] = {"marks": [first, second], "rider_mark": points - 70 - first - second}
    return rides


def rail(order: str, by: str = "rail_work") -> list[dict[str, object]]:
    return [{"order": order.split(), "by": by}]


@given(st.lists(st.integers(-6, 12), min_size=1, max_size=40))
def test_places_are_the_competition_ranks_of_the_totals(marks: list[int]) -> None:
    # Reference: scipy.stats.rankdata, method "min", best total first.
    book = shipped_book("showmanship-at-halter")  # its only tie step waits for a judge's order
    facts = [RideFacts(marks=(min(m, 6), max(m - 6, 0)), rider_mark=4) for m in marks]
    scores = {str(number): score(book, ride) for number, ride in enumerate(facts)}
    found = {row.entry: row for row in place(book, scores)}
    ranks = rankdata([-mark for mark in marks], method="min")
    assert [found[entry].place for entry in scores] == [int(rank) for rank in ranks]
    assert [found[entry].tied for entry in scores] == [
        list(ranks).count(rank) > 1 for rank in ranks
    ]


def test_equal_totals_share_the_place_and_the_next_place_is_passed_over() -> None:
    # Common practice: 1, 2=, 2=, 4.
    document = sheet(BOOK, with_totals({"1": 72, "2": 75, "3": 73, "4": 73}))
    assert [(r["entry"], r["place"], r["tied"]) for r in rows(document)] == [
        ("2", 1, False),
        ("3", 2, True),
        ("4", 2, True),
        ("1", 4, False),
    ]


def test_three_equal_winners_may_stand() -> None:
    # saddlehorsereport.com (secondary): a natural three-way tie, a re-run declined, three winners.
    found = rows(sheet(BOOK, with_totals({"1": 74, "2": 74, "3": 74, "4": 70})))
    assert [(row["place"], row["tied"]) for row in found] == [
        (1, True),
        (1, True),
        (1, True),
        (4, False),
    ]


def test_half_a_point_parts_two_totals() -> None:
    # Common practice: scores run by half points.
    assert places(sheet(BOOK, with_totals({"1": 71, "2": 71.5}))) == {"2": 1, "1": 2}


def test_the_rail_reorders_entries_inside_the_places_they_hold_together() -> None:
    # Common practice, rail work may adjust the final placing: A 75, B 74, C 73, D 72, and the
    # judge's order D, B, C makes A, D, B, C. A to D are entries 1 to 4.
    rides = with_totals({"1": 75, "2": 74, "3": 73, "4": 72})
    assert places(sheet(BOOK, rides, rail=rail("4 2 3"))) == {"1": 1, "4": 2, "2": 3, "3": 4}


def test_the_rail_leaves_whoever_it_does_not_name_in_place() -> None:
    # Common practice, as above: of A 75, B 74, C 73, D 72 the order D, A changes these two alone.
    rides = with_totals({"1": 75, "2": 74, "3": 73, "4": 72})
    assert places(sheet(BOOK, rides, rail=rail("4 1"))) == {"4": 1, "2": 2, "3": 3, "1": 4}


def test_the_rail_parts_equal_totals() -> None:
    # Common practice in western horsemanship: rail work may break close pattern scores.
    rides = with_totals({"1": 73, "2": 73, "3": 75})
    document = sheet(BOOK, rides, rail=rail("2 1"))
    assert [(row["entry"], row["place"], row["tied"]) for row in rows(document)] == [
        ("3", 1, False),
        ("2", 2, False),
        ("1", 3, False),
    ]


def test_the_rail_lifts_no_run_over_the_line_below_complete_ones() -> None:
    # Supreme Cowgirl Challenge, pasture trail rules: off pattern stands above no complete run.
    rides = with_totals({"1": 71, "2": 72, "3": 80})
    rides["3"]["outcome"] = {"kind": "off_pattern"}
    assert places(sheet(BOOK, rides, rail=rail("3 1 2"))) == {"1": 1, "2": 2, "3": 3}


@pytest.mark.parametrize("book", ["western-horsemanship", "showmanship-at-halter"])
def test_the_judge_may_decide_any_tie_of_horsemanship_and_showmanship(book: str) -> None:
    # AQHA rule 471, as printed by the Norwegian breed body; AQHA 2015 Rule Book (Australian
    # Quarter Horse Association), p. 136: all ties at the judge's discretion.
    rides = with_totals({"1": 74, "2": 73, "3": 73})
    decided = sheet(book, rides, rail=rail("3 2", "judges_decision"))
    assert places(decided) == {"1": 1, "3": 2, "2": 3}


def test_a_reining_run_off_is_for_first_place_only() -> None:
    # National Reining Horse Association, Rules for Judging, B(2).
    first = {entry: {"marks": [mark]} for entry, mark in {"1": 1, "2": 1, "3": 0}.items()}
    assert places(sheet("reining", first)) == {"1": 1, "2": 1, "3": 3}  # co-champions
    assert places(sheet("reining", first, rail=rail("2 1", "run_off"))) == {"2": 1, "1": 2, "3": 3}
    second = {entry: {"marks": [mark]} for entry, mark in {"1": 1, "2": 0, "3": 0}.items()}
    assert places(sheet("reining", second)) == {"1": 1, "2": 2, "3": 2}
    assert faults(sheet("reining", second, rail=rail("3 2", "run_off"))) == [
        "$.cards[0].rail[0].order: Under Reining this tie for place 2 is not parted by run off."
    ]


@pytest.mark.parametrize("book", ["trail", "western-riding", "reining", "ranch-riding"])
def test_rail_work_changes_nothing_in_classes_worked_one_at_a_time(book: str) -> None:
    # AQHA rule 454, as printed by the Norwegian breed body: trail has no rail work. The others:
    # common practice.
    rides = {"1": {"marks": [0]}, "2": {"marks": [0]}}
    (line,) = faults(sheet(book, rides, rail=[{"order": ["2", "1"]}]))
    assert line.startswith("$.cards[0].rail[0].order: ")
    assert line.endswith("rail work changes nothing.")


def test_off_pattern_totals_do_not_tie_with_complete_ones() -> None:
    # Supreme Cowgirl Challenge, pasture trail rules: the two kinds of run are never equal.
    rides = with_totals({"1": 73, "2": 73})
    rides["1"]["outcome"] = {"kind": "off_pattern"}
    assert [(row["place"], row["tied"]) for row in rows(sheet(BOOK, rides))] == [
        (1, False),
        (2, False),
    ]
