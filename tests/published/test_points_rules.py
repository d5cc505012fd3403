"""Class size, ties, zero scores and champions by points, against published rules and examples."""

from fractions import Fraction

from events.scoring.points.award import Entrant, champion_points, size_of_class
from tests.core.points.shipped import entrants, points, shipped


def test_of_45_entered_with_one_disqualified_the_class_has_45() -> None:
    # How AQHA Points Work, americashorse.tv, 2016
    table = shipped()["aqha-per-judge"]
    shown = [*entrants(range(1, 45)), Entrant(entry="x", place=None, outcome="disqualified")]
    assert size_of_class(table, shown) == 45
    assert points("aqha-per-judge", shown)["001"] == 9
    assert points("aqha-per-judge", shown)["x"] == 0


def test_an_entry_scratched_before_the_class_is_not_counted_among_the_45() -> None:
    # How AQHA Points Work, americashorse.tv, 2016
    table = shipped()["aqha-per-judge"]
    shown = [*entrants(range(1, 45)), Entrant(entry="x", place=None, scratched=True)]
    assert size_of_class(table, shown) == 44
    assert points("aqha-per-judge", shown)["001"] == 8
    assert points("aqha-per-judge", shown)["x"] == 0


def test_tied_places_share_the_points_that_they_cover_as_printed_for_six_in_a_class() -> None:
    # Treasure State Cutting Club, Point Standings: 6 in class, first 6; 2-3 tie, 5 + 4 = 9, each
    # 4 1/2; fourth 3; 5-6 tie, 2 + 1 = 3, each 1 1/2
    earned = points("tscc-standings", entrants([1, 2, 2, 4, 5, 5]))
    assert list(earned.values()) == [6, Fraction("4.5"), Fraction("4.5"), 3, Fraction("1.5"),
                                     Fraction("1.5")]  # fmt: skip


def test_a_zero_score_has_no_points() -> None:
    # Treasure State Cutting Club, Point Standings
    shown = [*entrants([1, 2]), Entrant(entry="x", place=3, outcome="zero")]
    assert points("tscc-standings", shown) == {"001": 3, "002": 2, "x": 0}


def test_three_that_are_not_zero_have_three_one_and_nought() -> None:
    # California Cow Horse, 2018: 3 non-zero: 3, 1, 0
    assert list(points("one-per-entry-beaten", entrants([1, 2, 3])).values()) == [3, 1, 0]


def test_a_zero_score_counts_as_beaten_but_earns_nothing() -> None:
    # California Cow Horse, 2018
    shown = [*entrants([1, 2]), Entrant(entry="x", place=None, outcome="zero")]
    assert points("one-per-entry-beaten", shown) == {"001": 3, "002": 1, "x": 0}


def test_tied_cow_horses_share_the_points_of_the_places_they_cover() -> None:
    # California Cow Horse, 2018: tied places share; here first and second of five, 5 and 3
    earned = points("one-per-entry-beaten", entrants([1, 1, 3, 4, 5]))
    assert list(earned.values()) == [4, 4, 2, 1, 0]


def test_the_first_of_ten_has_five_and_nine_for_those_beaten() -> None:
    # SRCHA, 2011 Show Results, Points
    assert points("srcha-year-end", entrants(range(1, 11)))["001"] == 5 + 9


def test_second_of_seven_riders_has_six() -> None:
    # Hamilton County Parks
    assert points("hamilton-county-series", entrants(range(1, 8)))["002"] == 6


def test_who_shows_without_a_place_has_a_point_and_who_is_disqualified_has_none() -> None:
    # GCHSC, 2024; in speed events a broken pattern still has the point
    shown = [
        *entrants(range(1, 8)),
        Entrant(entry="broken", place=None, outcome="off_pattern"),
        Entrant(entry="disqualified", place=None, outcome="disqualified"),
        Entrant(entry="absent", place=None, outcome="missed_gate"),
    ]
    earned = points("gchsc-high-point", shown)
    assert [earned[name] for name in ("007", "broken", "disqualified", "absent")] == [1, 1, 0, 0]
    assert size_of_class(shipped()["gchsc-high-point"], shown) == 9


def test_grand_has_two_more_than_the_highest_pointed_class_and_reserve_one() -> None:
    # MPAHC Point System, mpahc.com/Showresults1.html
    assert champion_points(shipped()["mpahc-high-point"], Fraction(7)) == (Fraction(9), Fraction(8))


def test_champion_and_reserve_have_ten_and_six_outside_the_high_point_sum() -> None:
    # TSSA Austin, tssaaustin.com/points
    table = shipped()["tssa-high-point"]
    assert champion_points(table, Fraction(7)) == (Fraction(10), Fraction(6))
    assert table.champions is not None
    assert not table.champions.in_high_point
