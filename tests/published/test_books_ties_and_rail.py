"""Ties, rail work and panels of the shipped rule books against what was read."""

import pytest

from service.books import shipped, shipped_book

COMMON_PRACTICE = "common practice"
FROM_MEMORY = "from memory"
AUSTRALIAN = "AQHA 2015 Rule Book (Australian Quarter Horse Association)"
AQHA_454 = "American Quarter Horse Association rule 454, as printed by the Norwegian breed body"
AQHA_471 = "American Quarter Horse Association rule 471, as printed by the Norwegian breed body"
EXT_HS = "eXtension Horses, Judging Horse Events: Hunt Seat Equitation"
NRHA_B2 = "National Reining Horse Association, Rules for Judging, B(2)"

# What the rail may do, and who says so.
RAILS = [
    # Rail work may part close pattern scores or adjust the final placing.
    ("western-horsemanship", "adjusts", COMMON_PRACTICE),
    ("western-horsemanship", "adjusts", f"{AUSTRALIAN}, p. 139"),  # must count in the placing
    ("hunt-seat-equitation-flat", "adjusts", EXT_HS),  # the class or its finalists
    ("hunt-seat-equitation-flat", "adjusts", COMMON_PRACTICE),
    ("equitation-hundred", "adjusts", f"{AUSTRALIAN}, p. 136"),
    ("equitation-hundred", "adjusts", "p. 139"),
    ("trail", "none", AQHA_454),
    ("western-riding", "none", COMMON_PRACTICE),
    ("reining", "none", COMMON_PRACTICE),
    ("ranch-riding", "none", COMMON_PRACTICE),
    ("showmanship-at-halter", "none", COMMON_PRACTICE),
    ("showmanship-twenty", "none", COMMON_PRACTICE),
    ("rail-placed", "none", COMMON_PRACTICE),
    ("timed", "none", COMMON_PRACTICE),
]
# Step, the places it is bounded to, and who says so.
TIES: dict[str, list[tuple[str, int | None, str]]] = {
    "western-horsemanship": [
        ("rail_work", None, COMMON_PRACTICE),
        ("judges_decision", None, f"{AUSTRALIAN}, p. 136"),  # all ties at the judge's discretion
    ],
    "hunt-seat-equitation-flat": [
        ("rail_work", None, COMMON_PRACTICE),
        ("judges_decision", None, COMMON_PRACTICE),
    ],
    "equitation-hundred": [
        ("rail_work", None, COMMON_PRACTICE),
        ("judges_decision", None, f"{AUSTRALIAN}, p. 136"),
    ],
    "showmanship-at-halter": [("judges_decision", None, AQHA_471)],
    "showmanship-twenty": [("judges_decision", None, AQHA_471)],
    "trail": [("judges_decision", None, FROM_MEMORY)],
    "western-riding": [("judges_decision", None, FROM_MEMORY)],
    "ranch-riding": [("judges_decision", None, COMMON_PRACTICE)],
    # First place only; what no run-off parts are co-champions.
    "reining": [("run_off", 1, NRHA_B2)],
    "timed": [("run_off", 1, COMMON_PRACTICE)],
    "rail-placed": [],  # a judge's order has no ties
}


@pytest.mark.parametrize(("book", "role", "source"), RAILS)
def test_rail_work_does_what_its_source_says(book: str, role: str, source: str) -> None:
    rail = shipped_book(book).rail
    assert rail.role == role
    assert source in rail.source


@pytest.mark.parametrize("book", TIES)
def test_ties_are_parted_as_the_source_says(book: str) -> None:
    ties = shipped_book(book).ties
    assert [(tie.step, tie.places) for tie in ties] == [entry[:2] for entry in TIES[book]]
    for tie, (_, _, source) in zip(ties, TIES[book], strict=True):
        assert tie.source.startswith(source)


def test_a_reining_tie_for_any_other_place_stands() -> None:
    # AQHA 2015 Rule Book (Australian Quarter Horse Association), p. 115, rule 96.13: tie breaker
    # for first place only.
    (tie,) = shipped_book("reining").ties
    assert tie.places == 1
    assert f"{AUSTRALIAN}, p. 115, rule 96.13" in " ".join(tie.source.split())


@pytest.mark.parametrize("book", shipped())
def test_rail_work_never_lifts_a_ride_over_the_line_between_outcomes(book: str) -> None:
    # Common practice: no source that was read lets it.
    assert not shipped_book(book).rail.crosses_outcomes


@pytest.mark.parametrize("book", shipped())
def test_each_judge_s_placing_is_a_result_of_its_own(book: str) -> None:
    # AQHA 2015 Rule Book (Australian Quarter Horse Association), p. 52, rule 46.6.
    panel = shipped_book(book).panel
    assert panel.method == "separate"
    assert panel.source.startswith(f"{AUSTRALIAN}, p. 52, rule 46.6")


def test_every_shipped_book_is_checked_here() -> None:
    assert {book for book, _, _ in RAILS} == set(TIES) == set(shipped())
