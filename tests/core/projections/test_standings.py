"""Standings: best results, minimums, ties, and that nothing but the lines decides."""

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.awards.rules import AwardRules, Category
from events.projections.earned import EarnedLine
from events.projections.standings import standings
from tests.core.season.seasons import ANY, line, ranking, row_of, rules

TRAIL = Category(name="Trail", rulebooks=("trail",))
RIDING = Category(name="Riding", rulebooks=("ranch-riding",))


def lines_of(*made: tuple[str, int], **every: object) -> list[EarnedLine]:
    """A line for each carrier and its points, each from a class of its own."""
    return [
        line(carrier=carrier, points=Fraction(points), class_id=f"c-{n}", position=n, **every)
        for n, (carrier, points) in enumerate(made, 1)
    ]


def test_points_add_up_and_the_best_comes_first() -> None:
    lines = lines_of(("p-1", 3), ("p-2", 5), ("p-1", 4), ("p-3", 5))
    assert ranking(rules(), lines) == [("p-1", 1, 7), ("p-2", 2, 5), ("p-3", 2, 5)]
    assert [row.tied for row in standings(rules(), lines)] == [False, True, True]


def test_after_a_shared_place_the_next_is_left_out() -> None:
    lines = lines_of(("a", 5), ("b", 5), ("c", 2))
    assert [place for _, place, _ in ranking(rules(), lines)] == [1, 1, 3]


def test_nobody_without_points_takes_a_place() -> None:
    lines = lines_of(("a", 0), ("b", 1))
    assert ranking(rules(), lines) == [("b", 1, 1), ("a", None, 0)]


def test_thirds_of_points_add_up_exactly() -> None:
    made = [line(carrier="a", points=Fraction(1, 3), class_id=f"c-{n}") for n in range(3)]
    made.append(line(carrier="b", points=Fraction(1), class_id="c-9"))
    found = standings(rules(), made)
    assert [(row.points, row.tied) for row in found] == [(Fraction(1), True)] * 2


def test_only_the_best_results_of_each_category_count() -> None:
    award = rules(categories=[TRAIL, RIDING], best_of=2)
    made = [
        *lines_of(("a", 5), ("a", 3), ("a", 4), category="Trail"),
        line(carrier="a", points=Fraction(2), class_id="c-9", category="Riding"),
    ]
    row = row_of(award, made, "a")
    assert row.points == 11
    assert row.categories == {"Trail": 9, "Riding": 2}
    assert [(float(each.line.points), each.counts) for each in row.lines] == [
        (5, True),
        (3, False),
        (4, True),
        (2, True),
    ]


def test_of_equal_points_the_better_place_counts_and_then_the_more_beaten_and_the_total() -> None:
    same = lines_of(("a", 4), ("a", 4), ("a", 4), ("a", 4), ("a", 4), beaten=1, total=140)
    worse, fewer, lower, chosen, unplaced = same
    made = [
        line_with(worse, place=2),
        line_with(fewer, beaten=0),
        line_with(lower, total=139),
        line_with(chosen),
        line_with(unplaced, place=None),
    ]
    row = row_of(rules(best_of=1), made, "a")
    assert [each.line.class_id for each in row.lines if each.counts] == ["c-4"]
    row = row_of(rules(best_of=4), made, "a")
    assert [each.line.class_id for each in row.lines if not each.counts] == ["c-5"]


def line_with(of: EarnedLine, **changes: object) -> EarnedLine:
    """That line, changed."""
    return line(**{name: getattr(of, name) for name in of.__struct_fields__} | changes)


@pytest.mark.parametrize(
    ("minimum", "missing"),
    [
        ({"minimum_shows": 2}, ("shows",)),
        ({"minimum_classes": 4}, ("classes",)),
        ({"minimum_judges": 3}, ("judges",)),
        ({"minimum_categories": 2}, ("categories",)),
        ({"minimum_shows": 2, "minimum_judges": 3}, ("shows", "judges")),
        (
            {
                "minimum_shows": 1,
                "minimum_classes": 3,
                "minimum_judges": 2,
                "minimum_categories": 1,
            },
            (),
        ),
    ],
)
def test_who_misses_a_minimum_takes_no_place_and_is_told_which(
    minimum: dict[str, Any], missing: tuple[str, ...]
) -> None:
    award = rules(categories=[TRAIL, RIDING], **minimum)
    made = [
        *lines_of(("a", 5), ("a", 0), category="Trail", judges=("j-A", "j-B")),
        line(carrier="a", points=Fraction(0), class_id="c-9", category="Riding"),
    ]
    (row,) = standings(award, made)
    assert row.missing == missing
    assert row.place == (None if missing else 1)
    assert (float(row.points), row.shows, row.classes, row.judges) == (5, 1, 3, 2)


def test_a_show_without_points_counts_towards_the_minimum() -> None:
    # CCHA 2018: half of the shows, and one score that is not zero.
    made = lines_of(("a", 5), ("a", 0))
    made[1] = line_with(made[1], show="s-2")
    assert row_of(rules(minimum_shows=2), made, "a").place == 1


def test_who_takes_no_place_comes_last_by_points_and_name() -> None:
    made = [line_with(each, show="s-1") for each in lines_of(("c", 1), ("a", 9), ("b", 9))]
    made.append(line(carrier="d", points=Fraction(1), show="s-2", class_id="c-9"))
    made.append(line(carrier="d", points=Fraction(1), show="s-3", class_id="c-9"))
    assert ranking(rules(minimum_shows=2), made) == [
        ("d", 1, 2),
        ("a", None, 9),
        ("b", None, 9),
        ("c", None, 1),
    ]


def test_a_category_counts_by_its_weight() -> None:
    half = Category(name="Trail", rulebooks=("trail",), weight="1/2")
    made = [
        *lines_of(("a", 5), category="Trail"),
        line(carrier="a", points=Fraction(2), class_id="c-9", category="Riding"),
    ]
    row = row_of(rules(categories=[half, RIDING]), made, "a")
    assert row.categories == {"Trail": Fraction(5, 2), "Riding": 2}
    assert row.points == Fraction(9, 2)


# --- ties -----------------------------------------------------------------------------------------


def _parted(step: str, made: Sequence[EarnedLine]) -> list[tuple[str, int | None, str | None]]:
    found = standings(rules(ties=(step,)), made)
    return [(row.carrier, row.place, row.parted_by) for row in found]


def test_more_firsts_part_equal_points_and_then_more_seconds() -> None:
    places = {"a": (2, 2), "b": (1, 3), "c": (1, 2), "d": (1, 2, 9), "e": (1, 2)}
    made = [
        line(carrier=who, points=Fraction(6, len(got)), place=place, class_id=f"c-{who}{n}")
        for who, got in places.items()
        for n, place in enumerate(got)
    ]
    assert _parted("most_placings", made) == [
        ("d", 1, "most_placings"),
        ("c", 2, "most_placings"),
        ("e", 2, "most_placings"),
        ("b", 4, "most_placings"),
        ("a", 5, "most_placings"),
    ]


@pytest.mark.parametrize(
    ("step", "better", "worse"),
    [
        ("most_shows", {"show": "s-2"}, {"show": "s-1"}),
        ("most_beaten", {"beaten": 5}, {"beaten": 4}),
        ("highest_total", {"total": 145}, {"total": 144}),
        ("highest_total", {"total": 1}, {"total": None}),
        ("most_placings", {"place": 9}, {"place": None}),
        ("most_top_tens", {"place": 10}, {"place": 11}),
        ("most_top_tens", {"place": 2}, {"place": None}),
    ],
)
def test_each_step_parts_equal_points_by_what_it_names(
    step: str, better: dict[str, object], worse: dict[str, object]
) -> None:
    made = [
        line(carrier="z", class_id="c-1", place=1, show="s-1", beaten=1, total=140),
        line(carrier="z", class_id="c-2", **{"place": 2} | better),
        line(carrier="a", class_id="c-1", place=1, show="s-1", beaten=1, total=140),
        line(carrier="a", class_id="c-2", **{"place": 2} | worse),
    ]
    assert [who for who, _, _ in _parted(step, made)] == ["z", "a"]
    assert [by for _, _, by in _parted(step, made)] == [step, step]


def test_only_results_that_count_part_a_tie() -> None:
    made = [
        *(line(carrier=who, class_id="c-1", points=Fraction(4), beaten=2) for who in "ab"),
        line(carrier="b", class_id="c-2", points=Fraction(1), beaten=99),
    ]
    found = standings(rules(best_of=1, ties=("most_beaten",)), made)
    assert [(row.carrier, row.place, row.tied) for row in found] == [("a", 1, True), ("b", 1, True)]


def test_steps_are_taken_in_turn_and_the_first_that_parted_is_named() -> None:
    award = rules(ties=("most_beaten", "most_placings"))
    made = [
        line(carrier="a", beaten=1, place=1),
        line(carrier="b", beaten=2, place=3),
        line(carrier="c", beaten=2, place=2),
        line(carrier="d", points=Fraction(1)),
    ]
    assert [(row.carrier, row.place, row.parted_by) for row in standings(award, made)] == [
        ("c", 1, "most_beaten"),
        ("b", 2, "most_beaten"),
        ("a", 3, "most_beaten"),
        ("d", 4, None),
    ]


# --- laws -----------------------------------------------------------------------------------------

STEPS = ("most_placings", "most_top_tens", "most_shows", "most_beaten", "highest_total")
AWARDS = st.builds(
    rules,
    categories=st.just([ANY, TRAIL]),
    best_of=st.none() | st.integers(1, 3),
    minimum_shows=st.integers(0, 2),
    minimum_judges=st.integers(0, 2),
    minimum_categories=st.integers(0, 2),
    ties=st.permutations(STEPS).map(tuple),
)
LINES = st.lists(
    st.builds(
        line,
        carrier=st.sampled_from("abc"),
        category=st.sampled_from(["All classes", "Trail"]),
        show=st.sampled_from(["s-1", "s-2"]),
        judges=st.sampled_from([("j-A",), ("j-B",), ("j-A", "j-B")]),
        place=st.none() | st.integers(1, 4),
        points=st.fractions(0, 3, max_denominator=3),
        beaten=st.integers(0, 3),
        total=st.none() | st.integers(130, 133),
        class_id=st.sampled_from(["c-1", "c-2", "c-3"]),
        entry=st.sampled_from("12345"),
        position=st.integers(1, 5),
    ),
    max_size=14,
    unique_by=lambda each: each.name,
)


@given(AWARDS, LINES, st.data())
def test_the_order_of_the_lines_decides_nothing(
    award: AwardRules, made: list[EarnedLine], data: st.DataObject
) -> None:
    shuffled = data.draw(st.permutations(made))
    assert standings(award, shuffled) == standings(award, made)


@given(AWARDS, LINES)
def test_every_line_stands_in_one_row_and_what_counts_is_the_points(
    award: AwardRules, made: list[EarnedLine]
) -> None:
    found = standings(award, made)
    assert sorted(each.line.name for row in found for each in row.lines) == sorted(
        each.name for each in made
    )
    for row in found:
        assert row.points == sum(each.line.points for each in row.lines if each.counts)
        assert row.points == sum(row.categories.values())
        assert (row.place is None) == bool(row.missing or not row.points)
    if award.best_of is None:
        assert sum(row.points for row in found) == sum(each.points for each in made)


@given(AWARDS, LINES)
def test_places_go_by_points_and_shared_ones_are_counted(
    award: AwardRules, made: list[EarnedLine]
) -> None:
    placed = [row for row in standings(award, made) if row.place is not None]
    assert [row.points for row in placed] == sorted((row.points for row in placed), reverse=True)
    for number, row in enumerate(placed, 1):
        held = [other for other in placed if other.place == row.place]
        assert row.tied == (len(held) > 1)
        assert row.place == min(n for n, other in enumerate(placed, 1) if other in held) <= number
        assert len({other.points for other in held}) == 1


@given(LINES)
def test_one_more_result_never_costs_a_carrier_points(made: list[EarnedLine]) -> None:
    award = rules(categories=[ANY, TRAIL], best_of=2)
    before = {row.carrier: row.points for row in standings(award, made[1:])}
    for row in standings(award, made):
        assert row.points >= before.get(row.carrier, 0)
