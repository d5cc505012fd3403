"""From totals to places: tiers, shared places, entries without one."""

import msgspec
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import rankdata

from events.rulebook.model import OutcomeKind, RuleBook
from events.scoring.placing import place
from events.scoring.total import RideFacts
from tests.core.books import SMALL, TIES_ONLY, bounded, small, tie
from tests.core.scoring.rides import facts, placing, scored


def test_the_best_total_is_placed_first() -> None:
    assert placing(SMALL, scored(A=-2, B=6, C=0)) == "1 B, 2 C, 3 A"


def test_a_run_off_pattern_stands_below_every_complete_run() -> None:
    # Common practice; the same in Supreme Cowgirl Challenge, pasture trail rules.
    scores = scored(A=facts(12, outcome="off_pattern"), B=-6, C=facts(1, outcome="off_pattern"))
    assert placing(SMALL, scores) == "1 B, 2 A, 3 C"


def test_tiers_stand_below_each_other_in_the_order_of_the_book() -> None:
    scores = scored(
        A=facts(6, outcome="zero"),
        B=facts(6, outcome="severe_fault"),
        C=facts(0, outcome="off_pattern"),
        D=-6,
        E=facts(-6, outcome="zero"),
    )
    assert placing(SMALL, scores) == "1 D, 2 C, 3 B, 4= A, 4= E"


def test_who_takes_no_place_comes_last_in_the_order_given() -> None:
    scores = scored(
        A=facts(6, outcome="disqualified"), B=facts(None), C=0, D=facts(6, outcome="no_score")
    )
    assert placing(SMALL, scores) == "1 C, - A, - B, - D"


def test_rows_carry_what_the_entry_stands_at() -> None:
    rows = place(SMALL, scored(A=3, B=facts(None), C=facts(1, outcome="off_pattern")))
    assert [(row.total, row.outcome, row.complete) for row in rows] == [
        (143, None, True),
        (141, "off_pattern", True),
        (None, None, False),
    ]


def test_a_class_without_rides_has_no_placing() -> None:
    assert place(SMALL, {}) == ()


@given(st.lists(st.integers(-6, 6), max_size=12), st.sampled_from([SMALL, bounded(136, 144)]))
def test_shared_places_are_counted_as_competition_ranks_are(
    marks: list[int], book: RuleBook
) -> None:
    # Reference: scipy.stats.rankdata, method "min" (1, 2, 2, 4).
    scores = scored(book, **{f"e{number}": mark for number, mark in enumerate(marks)})
    rows = place(book, scores)
    totals = [-(scores[row.entry].total or 0) for row in rows]
    assert [row.place for row in rows] == rankdata(totals, method="min").tolist()
    shared = [totals.count(total) > 1 for total in totals]
    assert [row.tied for row in rows] == shared


OUTCOMES: list[OutcomeKind | None] = [
    None,
    None,
    None,
    "off_pattern",
    "severe_fault",
    "zero",
    "disqualified",
    "no_score",
]
RIDES = st.builds(
    facts,
    st.integers(-6, 6) | st.none(),
    st.integers(-6, 6),
    rider=st.integers(0, 10),
    penalties=st.lists(st.sampled_from((6, 10)), max_size=2),
    outcome=st.sampled_from(OUTCOMES),
)
MANEUVERS = ("Walk", "Jog")
BOOKS = [
    SMALL,
    TIES_ONLY,
    bounded(130, 150),
    small(ties=(tie("rider_mark"), tie("fewest_penalty_points"))),
    small(ties=(tie("fewest_penalty_points", places=2), tie("named_maneuver", maneuver="Jog"))),
]


@given(st.lists(RIDES, max_size=8), st.sampled_from(BOOKS))
def test_every_entry_has_one_row_and_places_run_from_one_without_gaps(
    rides: list[RideFacts], book: RuleBook
) -> None:
    scores = scored(book, **{f"e{number}": ride for number, ride in enumerate(rides)})
    rows = place(book, scores, (), MANEUVERS)
    assert sorted(row.entry for row in rows) == sorted(scores)
    placed = [row.place for row in rows if row.place is not None]
    assert [row.place for row in rows] == placed + [None] * (len(rows) - len(placed))
    assert placed == rankdata(placed, method="min").tolist()
    for row in rows:
        assert row.tied == (row.place is not None and placed.count(row.place) > 1)
        assert (row.place is not None) == scores[row.entry].placed


@given(st.lists(RIDES, min_size=1, max_size=8), st.sampled_from(BOOKS), st.data())
def test_raising_one_mark_never_worsens_the_place(
    rides: list[RideFacts], book: RuleBook, data: st.DataObject
) -> None:
    chosen = data.draw(st.integers(0, len(rides) - 1))
    raised = list(rides)
    raised[chosen] = data.draw(higher(rides[chosen]))
    before, after = (place_of(book, each, chosen) for each in (rides, raised))
    assert before is None or (after is not None and after <= before)


def higher(ride: RideFacts) -> st.SearchStrategy[RideFacts]:
    """The ride with the mark of one maneuver, or the rider's, raised."""
    rider = st.integers(ride.rider_mark or 0, 10).map(
        lambda mark: msgspec.structs.replace(ride, rider_mark=mark)
    )
    first, second = ride.marks
    marks = st.tuples(
        st.none() if first is None else st.integers(first, 6),
        st.none() if second is None else st.integers(second, 6),
    )
    return rider | marks.map(lambda given: msgspec.structs.replace(ride, marks=given))


def place_of(book: RuleBook, rides: list[RideFacts], chosen: int) -> int | None:
    scores = scored(book, **{f"e{number}": ride for number, ride in enumerate(rides)})
    rows = place(book, scores, (), MANEUVERS)
    return next(row.place for row in rows if row.entry == f"e{chosen}")
