"""Which official lines earn points in an award, for whom, and how many."""

from datetime import date, timedelta
from fractions import Fraction

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.awards.counting import OfShow
from events.awards.rules import Category
from events.projections.earned import carrier_of, earned_lines, pair_of
from events.projections.result import (
    ResultDocument,
    SectionResult,
    official_versions,
    result_document,
)
from events.rulebook.model import OutcomeKind
from events.scoring.points.award import Entrant, award, size_of_class
from events.scoring.points.load import load_inline
from events.season import events as happened
from tests.core.points.shipped import shipped
from tests.core.season.seasons import (
    ANY,
    DAY,
    REASON,
    SHOW,
    Row,
    document,
    earned,
    line,
    points_of,
    reference,
    rules,
    season,
)
from tests.histories import EACH_BY_ITSELF, histories
from tests.stories import Told

THREE = {"A": [("1", 1), ("2", 2), ("3", 3)]}
TWO_JUDGES = {"A": [("1", 1), ("2", 2)], "B": [("1", 2), ("2", 1)]}


def test_a_line_says_where_its_points_come_from() -> None:
    (first, *_) = earned(document(THREE, totals={"1": 143}, position=71, revision=2), rules())
    assert msgspec.structs.asdict(first) == {
        "carrier": "p-1",
        "exhibitor": "p-1",
        "horse": "h-1",
        "category": "All classes",
        "show": SHOW,
        "class_id": "c-1",
        "class_name": "Class c-1",
        "division": None,
        "day": DAY,
        "revision": 2,
        "version": 80,
        "position": 71,
        "seat": "A",
        "judges": ("j-A",),
        "entry": "1",
        "back_number": 101,
        "place": 1,
        "shared_by": 1,
        "outcome": None,
        "total": 143,
        "class_size": 3,
        "beaten": 2,
        "points": Fraction(7),
        "table": reference(shipped()["ihsa-individual"]).digest,
        "title": None,
        "highest": None,
        "highest_class": None,
    }


@pytest.mark.parametrize(
    ("carrier", "names"),
    [
        ("rider", {"p-1": 7, "p-2": 5, "p-3": 4}),
        ("horse", {"h-1": 7, "h-3": 4}),
        ("pair", {"p-1+h-1": 7, "p-3+h-3": 4}),
    ],
)
def test_points_are_carried_by_rider_by_horse_or_by_the_pair(
    carrier: str, names: dict[str, float]
) -> None:
    # Common practice: a horse cannot carry points where an entry has none.
    lines = earned(document(THREE, horses={"2": None}), rules(carrier=carrier))
    assert points_of(lines) == names


@given(st.sampled_from(["rider", "horse", "pair"]), st.text("ab.~_-", min_size=1))
def test_a_carriers_name_names_its_rider_and_its_horse(carrier: str, name: str) -> None:
    named = carrier_of(carrier, name, "h")  # type: ignore[arg-type]
    assert named is not None
    expected = {"rider": (name, None), "horse": (None, "h"), "pair": (name, "h")}
    assert pair_of(carrier, named) == expected[carrier]  # type: ignore[arg-type]


def test_separate_results_earn_under_each_judge() -> None:
    lines = earned(document(TWO_JUDGES), rules())
    assert [(each.seat, each.judges, each.entry, float(each.points)) for each in lines] == [
        ("A", ("j-A",), "1", 7),
        ("A", ("j-A",), "2", 5),
        ("B", ("j-B",), "1", 5),
        ("B", ("j-B",), "2", 7),
    ]


def test_a_panel_earns_once_with_the_totals_of_its_judges_together() -> None:
    results = document(TWO_JUDGES, panel={"2": 1, "1": 2}, totals={"1": 140, "2": 141})
    lines = earned(results, rules())
    assert [(e.seat, e.judges, e.entry, float(e.points), e.total) for e in lines] == [
        (None, ("j-A", "j-B"), "1", 5, 280),
        (None, ("j-A", "j-B"), "2", 7, 282),
    ]


def test_a_panel_of_which_one_gave_no_total_has_none() -> None:
    results = document(TWO_JUDGES, panel={"2": 1, "1": 2}, totals={"1": 140})
    assert [each.total for each in earned(results, rules())] == [280, None]


@pytest.mark.parametrize(
    ("first", "second", "outcome", "points"),
    [
        ("disqualified", "disqualified", "disqualified", 0),
        ("disqualified", None, None, 1),
        (None, None, None, 1),
        ("off_pattern", "disqualified", "off_pattern", 1),
    ],
)
def test_an_outcome_is_the_panels_once_more_than_half_call_one(
    first: OutcomeKind | None, second: OutcomeKind | None, outcome: OutcomeKind | None, points: int
) -> None:
    # GCHSC, 2024: who shows without a place has a point, unless disqualified. That more than half
    # must call it is our rule for panels.
    seats: dict[str, list[Row]] = {
        "A": [("1", 1), ("2", None, first)],
        "B": [("1", 1), ("2", None, second)],
    }
    results = document(seats, panel={"1": 1, "2": None})
    last = earned(results, rules("gchsc-high-point"))[-1]
    assert (last.outcome, float(last.points), last.place) == (outcome, points, None)


def test_an_entry_that_the_panel_left_out_has_no_place() -> None:
    results = document(TWO_JUDGES, panel={"1": 1})
    assert [each.place for each in earned(results, rules())] == [1, None]


def test_a_panel_without_cards_earns_nothing() -> None:
    assert earned(document({}, panel={}), rules()) == ()


def test_who_was_not_shown_has_no_line_and_who_earned_nothing_has_one() -> None:
    # California Cow Horse, 2018: zero scores count as beaten but earn nothing.
    rows: list[Row] = [("1", 1), ("2", 2), ("3", None, "zero"), ("4", None, "missed_gate")]
    lines = earned(document({"A": rows}), rules("one-per-entry-beaten"))
    assert [(each.entry, float(each.points), each.beaten, each.class_size) for each in lines] == [
        ("1", 3, 2, 3),
        ("2", 1, 1, 3),
        ("3", 0, 0, 3),
    ]


def test_shared_places_share_points_and_beat_only_those_behind_them() -> None:
    lines = earned(document({"A": [("1", 1), ("2", 1), ("3", 3)]}), rules("hamilton-county-series"))
    assert [(float(each.points), each.shared_by, each.beaten) for each in lines] == [
        (2.5, 2, 1),
        (2.5, 2, 1),
        (1, 1, 0),
    ]


def test_a_class_under_the_tables_first_row_counts_as_shown_and_earns_nothing() -> None:
    # 2018 AMHA World Championship Program: classes of ten and more.
    lines = earned(document(THREE), rules("amha-world-awards"))
    assert [(each.entry, float(each.points)) for each in lines] == [("1", 0), ("2", 0), ("3", 0)]


def test_the_class_size_is_counted_as_the_table_counts() -> None:
    table = load_inline({"beaten": {"per_entry": 1}, "not_shown": ["excused"]})
    rows: list[Row] = [("1", 1), ("2", None, "excused"), ("3", None, "missed_gate")]
    lines = earned(document({"A": rows}), rules(table), table=table)
    assert [(each.entry, each.class_size) for each in lines] == [("1", 2), ("3", 2)]


# --- which results count --------------------------------------------------------------------------

TRAIL = Category(name="Trail", rulebooks=("trail",))
NOVICE = Category(name="Novice", divisions=("novice", "youth"))
DIVIDED = document(
    {"A": [("1", 1), ("2", 2), ("3", 3), ("4", 4)]},
    divisions={
        "novice": {"A": [("2", 1), ("4", 2)]},
        "youth": {"A": [("4", 1)]},
        "open": {"A": [("1", 1)]},
    },
)


def test_a_category_takes_the_classes_under_its_rule_books() -> None:
    results = [document(THREE), document(THREE, class_id="c-2", rulebook="trail")]
    lines = earned(results, rules(categories=[TRAIL]))
    assert {(each.class_id, each.category) for each in lines} == {("c-2", "Trail")}


def test_a_result_counts_in_the_first_category_that_takes_it() -> None:
    results = [document(THREE), document(THREE, class_id="c-2", rulebook="trail")]
    lines = earned(results, rules(categories=[TRAIL, ANY]))
    assert {(each.class_id, each.category) for each in lines} == {
        ("c-1", "All classes"),
        ("c-2", "Trail"),
    }


def test_a_category_of_divisions_takes_the_placing_among_each_of_them() -> None:
    lines = earned(DIVIDED, rules(categories=[NOVICE]))
    assert [(e.division, e.entry, e.place, e.class_size, float(e.points)) for e in lines] == [
        ("novice", "2", 1, 2, 7),
        ("novice", "4", 2, 2, 5),
        ("youth", "4", 1, 1, 7),
    ]


def test_the_whole_class_and_its_divisions_may_count_in_categories_of_their_own() -> None:
    lines = earned(DIVIDED, rules(categories=[ANY, NOVICE]))
    assert [(each.category, each.division) for each in lines] == [
        *[("All classes", None)] * 4,
        ("Novice", "novice"),
        ("Novice", "novice"),
        ("Novice", "youth"),
    ]
    assert len({each.name for each in lines}) == len(lines)


def test_a_category_may_take_some_classes_alone() -> None:
    results = [document(THREE), document(THREE, class_id="c-2"), document(THREE, class_id="c-3")]
    lines = earned(results, rules(categories=[Category(name="Two", classes=("c-2", "c-3"))]))
    assert {each.class_id for each in lines} == {"c-2", "c-3"}


def test_only_entries_of_the_eligible_divisions_earn_in_whatever_placing_counts() -> None:
    whole = earned(DIVIDED, rules(eligible_divisions=("novice", "youth")))
    assert [(each.entry, each.division, each.place) for each in whole] == [
        ("2", None, 2),
        ("4", None, 4),
    ]
    young = earned(DIVIDED, rules(categories=[NOVICE], eligible_divisions=("youth",)))
    assert [(each.entry, each.division) for each in young] == [("4", "novice"), ("4", "youth")]


def test_a_show_counts_its_own_classes_for_everybody_whatever_their_day() -> None:
    counted = shipped()["ihsa-individual"]
    award = rules(members_only=True)
    for day in (None, date(1999, 1, 1)):
        lines = earned_lines(document(THREE, day=day), OfShow(SHOW), award, counted)
        assert [each.entry for each in lines] == ["1", "2", "3"]
    assert earned_lines(document(THREE), OfShow("another"), award, counted) == ()


@pytest.mark.parametrize(
    "event",
    [
        happened.ShowDropped(show=SHOW, reason=REASON),
        happened.ClassLeftOut(class_id="c-1", reason=REASON),
    ],
)
def test_what_the_season_does_not_count_earns_nothing(event: happened.SeasonEvent) -> None:
    assert earned(document(THREE), rules(), season(event)) == ()


def test_a_class_outside_the_seasons_days_earns_nothing() -> None:
    assert earned(document(THREE, day=date(2027, 5, 9)), rules()) == ()


ENROLLED = (
    happened.MemberEnrolled(member="p-1", since=DAY),
    happened.MemberEnrolled(member="h-1", since=DAY),
    happened.MemberEnrolled(member="p-2", since=DAY + timedelta(1)),
    happened.MemberEnrolled(member="h-3", since=DAY),
)


@pytest.mark.parametrize(
    ("carrier", "carriers"),
    [("rider", {"p-1"}), ("horse", {"h-1", "h-3"}), ("pair", {"p-1+h-1"})],
)
def test_of_members_only_results_from_the_day_of_enrolling_count(
    carrier: str, carriers: set[str]
) -> None:
    # TSSA Austin: members only; WCRHA: nominate before points count.
    lines = earned(document(THREE), rules(carrier=carrier, members_only=True), season(*ENROLLED))
    assert set(points_of(lines)) == carriers


def test_those_who_do_not_belong_are_beaten_and_keep_their_place_all_the_same() -> None:
    state = season(happened.MemberEnrolled(member="p-3", since=DAY))
    (only,) = earned(document(THREE), rules(members_only=True), state)
    assert (only.carrier, only.place, only.class_size, float(only.points)) == ("p-3", 3, 3, 4)


def test_in_a_class_without_a_day_any_enrolled_member_counts() -> None:
    lines = earned(document(THREE, day=None), rules(members_only=True), season(*ENROLLED))
    assert set(points_of(lines)) == {"p-1", "p-2"}


# --- laws -----------------------------------------------------------------------------------------

PLACES = st.lists(st.integers(1, 5), min_size=1, max_size=9).map(
    lambda better: [1 + sum(other < own for other in better) for own in better]
)


def _results(places: list[int]) -> ResultDocument:
    return document({"A": [(str(number), place) for number, place in enumerate(places, 1)]})


@given(st.sampled_from(sorted(shipped())), PLACES)
def test_an_award_pays_out_what_its_table_gives_for_the_class_and_no_more(
    name: str, places: list[int]
) -> None:
    table = shipped()[name]
    lines = earned(_results(places), rules(name))
    shown = [Entrant(entry=str(n), place=place) for n, place in enumerate(places, 1)]
    size = size_of_class(table, shown)
    reaches = not table.sizes or table.row_for(size) is not None
    given_out = sum(each.points for each in award(table, size, shown).awards) if reaches else 0
    assert sum(each.points for each in lines) == given_out


@given(PLACES)
def test_of_any_two_shown_one_is_beaten_or_they_share_a_place(places: list[int]) -> None:
    lines = earned(_results(places), rules())
    shared = sum(each.shared_by - 1 for each in lines)
    pairs = len(lines) * (len(lines) - 1)
    assert 2 * sum(each.beaten for each in lines) + shared == pairs


@given(told=histories(books=EACH_BY_ITSELF))
def test_any_official_results_have_a_line_for_every_entry_shown_under_each_judge(
    told: Told,
) -> None:
    award_rules = rules("gchsc-high-point")
    for version in official_versions(told.history):
        results = result_document(told.history, version, told.book, root=b"")
        lines = earned_lines(results, season(), award_rules, shipped()["gchsc-high-point"])
        shown = [
            (seat.seat, row.entry)
            for part in results.sections or (results,)
            for seat in part.seats
            for row in seat.rows
            if row.outcome != "missed_gate"
        ]
        assert results.panel.method == "separate"
        assert [(each.seat, each.entry) for each in lines] == shown
        assert {each.position for each in lines} <= {results.position}


def test_each_section_earns_as_a_class_of_its_own_size() -> None:
    # American Mule Association, rule 101, splits a class; that each part then counts as a class in
    # the points is common practice.
    first = document({"A": [("1", 1), ("2", 2)]})
    second = document({"A": [("3", 1), ("4", 2), ("5", 3)]})
    whole = document({"A": [("1", 1), ("2", 2), ("3", 1), ("4", 2), ("5", 3)]})
    sections = tuple(
        SectionResult(
            section=number, class_size=size, seats=part.seats, panel=part.panel, divisions=()
        )
        for number, size, part in ((1, 2, first), (2, 3, second))
    )
    split = earned(msgspec.structs.replace(whole, sections=sections), rules())
    apart = (*earned(first, rules()), *earned(second, rules()))
    assert points_of(split) == points_of(apart)
    assert [(each.entry, each.class_size, each.beaten) for each in split] == [
        ("1", 2, 1),
        ("2", 2, 0),
        ("3", 3, 2),
        ("4", 3, 1),
        ("5", 3, 0),
    ]


def test_two_lines_of_one_award_never_have_the_same_name() -> None:
    names = [each.name for each in earned(document(TWO_JUDGES), rules())]
    assert len(set(names)) == len(names)
    assert line().name == ("c-1", "", "A", "1")
