"""Seasons with known results come to the standings that published points rules give them.

Every points table cited is printed in tests/published/test_points_tables.py; each sum that is
expected here is worked out from its cells beside the check.
"""

from collections.abc import Sequence
from datetime import date, timedelta

import pytest

from events.awards.rules import AwardRules, Category
from events.projections.earned import EarnedLine
from events.projections.result import ResultDocument
from events.season import events as happened
from tests.core.season.seasons import (
    DAY,
    REASON,
    Row,
    document,
    earned,
    points_of,
    ranking,
    row_of,
    rules,
    season,
)

SHOWS = tuple(f"s-{number}" for number in range(1, 11))
FEW = 4


def straight(order: str, **further: object) -> ResultDocument:
    """A class under one judge, its entries by single letters from first to last; `=` ties."""
    rows: list[Row] = []
    place = 0
    for number, letter in enumerate(order.replace("=", "")):
        tied = order[order.index(letter) - 1] == "=" if number else False
        place = place if tied else number + 1
        rows.append((letter, place))
    return document({"A": rows}, **further)  # type: ignore[arg-type]


def season_of(
    award: AwardRules, results: Sequence[ResultDocument], *told: happened.SeasonEvent
) -> tuple[EarnedLine, ...]:
    """What the results earned in a season in which ten shows count."""
    return earned(results, award, season(*told, shows=SHOWS))


def numbered(*orders: str) -> list[ResultDocument]:
    """A class at each of the first shows."""
    return [
        straight(order, class_id=f"c-{number}", show=f"s-{number}", position=number)
        for number, order in enumerate(orders, 1)
    ]


def test_a_club_season_by_class_size_with_a_point_for_taking_part() -> None:
    # GCHSC, 2024 Class Points and High Point Tabulation, gchsc.org/high-point. Of 4: 5 4 3 2. Of 6:
    # 7 6 5 4 3 2. Of 9: 7 6 5 4 3 2 and 1 for each that shows without one of these places, but
    # none for the disqualified.
    of_nine: list[Row] = [
        *[(letter, place) for place, letter in enumerate("bacdef", 1)],
        ("g", 7),
        ("h", None, "off_pattern"),
        ("i", None, "disqualified"),
    ]
    results = [
        *numbered("abcd", "cabdef"),
        document({"A": of_nine}, class_id="c-3", show="s-3", position=3),
    ]
    lines = season_of(rules("gchsc-high-point"), results)
    assert points_of(lines) == {
        "p-a": 5 + 6 + 6,
        "p-b": 4 + 5 + 7,
        "p-c": 3 + 7 + 5,
        "p-d": 2 + 4 + 4,
        "p-e": 3 + 3,
        "p-f": 2 + 2,
        "p-g": 1,
        "p-h": 1,
        "p-i": 0,
    }
    assert [(who, place) for who, place, _ in ranking(rules("gchsc-high-point"), lines)] == [
        ("p-a", 1),
        ("p-b", 2),
        ("p-c", 3),
        ("p-d", 4),
        ("p-e", 5),
        ("p-f", 6),
        ("p-g", 7),
        ("p-h", 7),
        ("p-i", None),
    ]


def test_a_cow_horse_season_of_one_point_per_horse_beaten_and_one_for_the_winner() -> None:
    # AzRCHA, Award Rules: five shown have 5, 3, 2, 1, 0. California Cow Horse, rule 9, 2018: three
    # that are not zero have 3, 1, 0; a zero is beaten but earns nothing; ties share what they
    # cover.
    with_zero: list[Row] = [("a", 1), ("b", 2), ("z", None, "zero")]
    results = [
        *numbered("abcde", "cab", "a=bc"),
        document({"A": with_zero}, class_id="c-4", show="s-4", position=4),
    ]
    award = rules("one-per-entry-beaten", carrier="horse")
    assert points_of(season_of(award, results)) == {
        "h-a": 5 + 1 + (3 + 1) / 2 + 3,
        "h-b": 3 + 0 + (3 + 1) / 2 + 1,
        "h-c": 2 + 3 + 0,
        "h-d": 1,
        "h-e": 0,
        "h-z": 0,
    }


def test_half_of_the_shows_and_a_score_that_is_not_zero_qualify() -> None:
    # CCHA 2018: ten shows, of which half, and one score that is not zero.
    five = numbered("ab", "ab", "ab", "ab", "abc")
    zero: list[Row] = [("a", 1), ("z", None, "zero")]
    zeros = [
        document({"A": zero}, class_id=f"z-{n}", show=f"s-{n}", position=20 + n)
        for n in range(1, 6)
    ]
    award = rules("one-per-entry-beaten", carrier="horse", minimum_shows=5)
    lines = season_of(award, [*five, *zeros])
    found = {row: place for row, place, _ in ranking(award, lines)}
    assert found == {"h-a": 1, "h-b": 2, "h-c": None, "h-z": None}
    assert row_of(award, lines, "h-c").missing == ("shows",)
    assert row_of(award, lines, "h-z").missing == ()


AQHA_EXAMPLES = [(3, 1, 0.5), (9, 3, 0), (26, 3, 3), (48, 10, 0.5)]
"""How AQHA Points Work (rule SHW260), americashorse.tv, 2016: entries, place, points."""


@pytest.mark.parametrize(("size", "place", "points"), AQHA_EXAMPLES)
def test_each_printed_cell_is_earned_under_each_judge(size: int, place: int, points: float) -> None:
    rows: list[Row] = [(str(number), number) for number in range(1, size + 1)]
    lines = earned(document({"A": rows, "B": rows}), rules("aqha-per-judge", carrier="horse"))
    assert points_of(lines)[f"h-{place}"] == 2 * points
    judges = [line.judges for line in lines if line.carrier == f"h-{place}"]
    assert judges == [("j-A",), ("j-B",)]


def test_a_breed_season_adds_the_points_under_each_judge_and_asks_for_one_judge_more() -> None:
    # AQHA, as above: third of 26 has 3 and, from memory, first of 26 has 5, second 4 and sixth a
    # half, first of 10 has 2. Mountain States QHA: shown under the judges of the largest circuit
    # and one more, so after a circuit of four judges under five.
    circuit: list[Row] = [(letter, place) for place, letter in enumerate(_letters(26), 1)]
    other: list[Row] = [(letter, place) for place, letter in enumerate(_letters(10)[::-1], 1)]
    results = [
        document(dict.fromkeys("ABCD", circuit), class_id="c-1", show="s-1", position=1),
        document({"E": other}, class_id="c-2", show="s-2", position=2),
    ]
    award = rules("aqha-per-judge", carrier="horse", minimum_judges=5)
    lines = season_of(award, results)
    found = points_of(lines)
    assert (found["h-a"], found["h-b"], found["h-c"]) == (4 * 5, 4 * 4, 4 * 3)
    assert found["h-j"] == 2
    placed = {who: place for who, place, _ in ranking(award, lines) if place is not None}
    assert placed == {"h-a": 1, "h-b": 2, "h-c": 3, "h-d": 4, "h-e": 5, "h-f": 6, "h-j": 6,
                      "h-i": 8, "h-h": 9}  # fmt: skip
    assert row_of(award, lines, "h-k").missing == ("judges",)


def _letters(count: int) -> str:
    return "abcdefghijklmnopqrstuvwxyz"[:count]


def test_a_schooling_season_counts_members_from_their_day_and_asks_for_three_shows() -> None:
    # TSSA Austin, tssaaustin.com/points: 7 5 4 3 2 1; members only; three shows.
    days = [DAY + timedelta(weeks=week) for week in range(FEW)]
    results = [
        straight("abcd", class_id=f"c-{n}", show=f"s-{n}", day=day, position=n)
        for n, day in enumerate(days, 1)
    ]
    told = (
        happened.MemberEnrolled(member="p-a", since=days[1]),
        happened.MemberEnrolled(member="p-b", since=date(2026, 1, 1)),
        happened.MemberEnrolled(member="p-c", since=days[2]),
    )
    award = rules("tssa-high-point", members_only=True, minimum_shows=3)
    lines = season_of(award, results, *told)
    assert ranking(award, lines) == [("p-a", 1, 3 * 7), ("p-b", 2, 4 * 5), ("p-c", None, 2 * 4)]


def test_points_count_from_nomination_and_after_four_shows() -> None:
    # WCRHA: nominate before points count; four shows. Points as AzRCHA: of two, 2 and 0.
    days = [DAY + timedelta(weeks=week) for week in range(5)]
    results = [
        straight("ab", class_id=f"c-{n}", show=f"s-{n}", day=day, position=n)
        for n, day in enumerate(days, 1)
    ]
    told = (
        happened.MemberEnrolled(member="h-a", since=days[1]),
        happened.MemberEnrolled(member="h-b", since=days[0]),
    )
    award = rules("one-per-entry-beaten", carrier="horse", members_only=True, minimum_shows=4)
    assert ranking(award, season_of(award, results, *told)) == [("h-a", 1, 8), ("h-b", None, 0)]


def test_points_follow_a_sold_horse_and_restricted_classes_are_unpointed() -> None:
    # Twin State ASB: two shows; points follow a sold horse; restricted classes unpointed. Points as
    # MPAHC: first of three has 3, second 2.
    results = [
        *numbered("abc", "bac"),
        straight("abc", class_id="restricted", show="s-3", position=9),
    ]
    sold = document(
        {"A": [("b", 1), ("a", 2), ("c", 3)]},
        class_id="c-4",
        show="s-4",
        riders={"a": "p-buyer"},
        position=10,
    )
    left_out = happened.ClassLeftOut(class_id="restricted", reason=REASON)
    award = rules("mpahc-high-point", carrier="horse", minimum_shows=2)
    lines = season_of(award, [*results, sold], left_out)
    assert ranking(award, lines) == [("h-b", 1, 2 + 3 + 3), ("h-a", 2, 3 + 2 + 2),
                                     ("h-c", 3, 1 + 1 + 1)]  # fmt: skip
    assert {line.exhibitor for line in lines if line.carrier == "h-a"} == {"p-a", "p-buyer"}


def test_one_horse_and_one_rider_earn_together_or_not_at_all() -> None:
    # Ramona and Santana Riders: everything is one horse and one rider. Points as MPAHC, two shown.
    results = [
        document({"A": [("a", 1), ("b", 2)]}, class_id="c-1", position=1),
        document({"A": [("a", 1), ("b", 2)]}, class_id="c-2", horses={"a": "h-b", "b": "h-a"},
                 position=2),
    ]  # fmt: skip
    award = rules("mpahc-high-point", carrier="pair")
    assert points_of(season_of(award, results)) == {
        "p-a+h-a": 2,
        "p-b+h-b": 1,
        "p-a+h-b": 2,
        "p-b+h-a": 1,
    }


def test_an_all_around_asks_for_points_in_three_categories() -> None:
    # Mountain States QHA: the all-around takes three categories. Points as ASPC, all-around: first
    # of three has 3, and so on down.
    books = ("trail", "western-horsemanship", "western-riding", "ranch-riding")
    orders = ("abc", "bca", "cab", "ab")
    results = [
        straight(order, class_id=book, rulebook=book, show=f"s-{n}", position=n)
        for n, (book, order) in enumerate(zip(books, orders, strict=True), 1)
    ]
    award = rules(
        "aspc-all-around",
        categories=[Category(name=book, rulebooks=(book,)) for book in books],
        minimum_categories=4,
    )
    lines = season_of(award, results)
    # a: 3 + 1 + 2 + 2, b: 2 + 3 + 1 + 1, and c: 1 + 2 + 3 in three of the four.
    assert ranking(award, lines) == [("p-a", 1, 8), ("p-b", 2, 7), ("p-c", None, 6)]
    assert row_of(award, lines, "p-c").missing == ("categories",)
    three = rules(
        "aspc-all-around",
        categories=[Category(name=book, rulebooks=(book,)) for book in books[:3]],
        minimum_categories=3,
    )
    assert {place for _, place, _ in ranking(three, season_of(three, results))} == {1}


def test_only_the_best_of_a_season_count_where_the_programme_says_how_many() -> None:
    # Collegiate, ihsainc.com: 7 5 4 3 2 1 whatever the class size. That the best two count is made
    # up: c has 7 + 5 and a 4 beside them, b has 7 + 5 and a 5, a has 7 + 4 and a 4.
    results = numbered("abc", "bca", "cba")
    award = rules("ihsa-individual", best_of=2)
    lines = season_of(award, results)
    assert ranking(award, lines) == [("p-b", 1, 12), ("p-c", 1, 12), ("p-a", 3, 11)]
    whole = season_of(rules("ihsa-individual"), results)
    assert points_of(whole) == {"p-a": 7 + 4 + 4, "p-b": 5 + 7 + 5, "p-c": 4 + 5 + 7}


def test_the_cutting_clubs_printed_ties_stand_in_a_season() -> None:
    # Treasure State Cutting Club, Point Standings: six in class, 2-3 tie: 4 1/2 each; 5-6 tie:
    # 1 1/2 each. Over two such classes in which they change sides.
    results = numbered("ab=cde=f", "fe=dcb=a")
    lines = season_of(rules("tscc-standings", carrier="horse"), results)
    assert points_of(lines) == {
        "h-a": 6 + 1.5,
        "h-b": 4.5 + 1.5,
        "h-c": 4.5 + 3,
        "h-d": 3 + 4.5,
        "h-e": 1.5 + 4.5,
        "h-f": 1.5 + 6,
    }


def test_a_year_end_sum_has_the_listed_points_and_those_for_horses_beaten() -> None:
    # SRCHA, 2011: of ten, first has 5 + 9 as printed; of four, from the number shown: 4 + 3.
    lines = season_of(rules("srcha-year-end"), numbered("abcdefghij", "bacd"))
    found = points_of(lines)
    assert (found["p-a"], found["p-b"]) == (14 + 5, 12 + 7)
    assert found["p-f"] == 0
