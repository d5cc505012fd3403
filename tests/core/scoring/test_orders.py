"""What a judge's order does to a placing, and when it no longer stands firm."""

from collections.abc import Mapping

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.scoring.orders import Groups, part_tie, rearrange
from events.scoring.placing import place, unsettled
from events.scoring.total import RideScore
from tests.core.books import CROSSING, NO_RAIL, SMALL, TIES_ONLY
from tests.core.scoring.rides import facts, order, placing, scored

ABCD = scored(A=10, B=8, C=6, D=4)
TIE = scored(A=2, B=2, C=2, D=4)


def groups(text: str) -> Groups:
    """``A B=C D`` is A, then B and C sharing a place, then D."""
    return [group.split("=") for group in text.split()]


def test_named_entries_are_reordered_inside_the_places_that_they_hold() -> None:
    # Design, section 5: with A 75, B 74, C 73, D 72 the order D, B, C makes A, D, B, C.
    assert placing(SMALL, ABCD, order("D B C", ABCD)) == "1 A, 2 D, 3 B, 4 C"


@pytest.mark.parametrize(
    ("before", "named", "after"),
    [
        ("A B C D", "D B C", "A D B C"),
        ("A B C D", "D A", "D B C A"),
        ("A B C D", "A B C D", "A B C D"),
        ("A B=C D", "C B", "A C B D"),
        ("A B=C D", "D C B", "A D C B"),
        ("A B=C D", "D A", "D B=C A"),
        ("A B=C D", "D C", "A B=D C"),
        ("A=B=C", "B A", "A=B=C"),
        ("A=B C=D", "C D A B", "C D A B"),
        ("A B", "B Z A", "B A"),
        ("A B", "B A B", "B A"),
        ("A B", "", "A B"),
    ],
)
def test_an_order_rearranges_groups(before: str, named: str, after: str) -> None:
    assert rearrange(groups(before), named.split()) == groups(after)


@given(st.data())
def test_rearranging_keeps_every_entry_and_leaves_the_unnamed_in_their_places(
    data: st.DataObject,
) -> None:
    names = data.draw(st.permutations("ABCDEF"))
    cuts = data.draw(st.lists(st.booleans(), min_size=5, max_size=5))
    before: Groups = [[names[0]]]
    for name, cut in zip(names[1:], cuts, strict=True):
        before.append([name]) if cut else before[-1].append(name)
    named = data.draw(st.lists(st.sampled_from(names), unique=True))
    after = rearrange(before, named)

    def numbers(groups: Groups) -> dict[str, int]:
        return {
            name: sum(map(len, groups[:index])) + 1
            for index, group in enumerate(groups)
            for name in group
        }

    assert sorted(name for group in after for name in group) == sorted(names)
    unnamed = set(names) - set(named)
    assert {n: numbers(before)[n] for n in unnamed} == {n: numbers(after)[n] for n in unnamed}
    places = [numbers(after)[name] for name in named]
    assert places == sorted(places)


def test_a_tie_is_parted_by_an_order_that_names_all_of_it() -> None:
    orders = [order("C A B", TIE)]
    assert part_tie(("A", "B", "C"), orders) == [["C"], ["A"], ["B"]]


def test_a_tie_that_no_order_names_stays() -> None:
    assert part_tie(("A", "B"), [order("C D", TIE)]) == [["A", "B"]]


def test_a_later_order_has_the_last_word() -> None:
    orders = [order("A B", TIE), order("B A", TIE)]
    assert part_tie(("A", "B"), orders) == [["B"], ["A"]]


def test_a_later_order_of_some_keeps_the_others_where_an_earlier_one_put_them() -> None:
    # Two decisions: first A, B, C; then, on second thoughts, C before B. Nobody spoke of A again.
    orders = [order("A B C", TIE), order("C B", TIE)]
    assert part_tie(("A", "B", "C"), orders) == [["A"], ["C"], ["B"]]
    decided = [order(names, TIE, "judges_decision") for names in ("A B C", "C B")]
    assert placing(TIES_ONLY, TIE, *decided) == "1 D, 2 A, 3 C, 4 B"


def test_who_joins_a_tie_is_not_placed_by_an_order_that_does_not_name_them() -> None:
    before = scored(A=2, B=2, C=0)
    after = scored(A=2, B=2, C=2)
    settled = order("B A", before)
    assert placing(TIES_ONLY, before, settled) == "1 B, 2 A, 3 C"
    assert placing(TIES_ONLY, after, settled) == "1= A, 1= B, 1= C"


def test_an_order_under_which_somebody_joined_a_tie_is_stale() -> None:
    before = scored(A=2, B=2, C=0)
    after = scored(A=2, B=2, C=2)
    settled = order("B A", before)
    assert unsettled((settled,), after, place(TIES_ONLY, after, [settled])) == (settled,)
    rows = place(TIES_ONLY, after, [settled])
    assert {row.entry: row.stale for row in rows} == {"A": True, "B": True, "C": False}
    decided = order("B C A", after, "judges_decision")
    rows = place(TIES_ONLY, after, [settled, decided])
    assert unsettled((settled, decided), after, rows) == ()
    assert not any(row.stale for row in rows)


def test_an_order_is_stale_when_somebody_joins_just_one_of_its_entries() -> None:
    before = scored(A=6, B=4, C=0)
    after = scored(A=6, B=4, C=4)
    settled = order("A B", before)
    assert unsettled((settled,), after, place(SMALL, after, [settled])) == (settled,)


@pytest.mark.parametrize(
    ("then", "stale"),
    [
        (scored(A=2, B=2), False),
        (scored(A=2, B=2, C=6), False),
        (scored(A=3, B=2), True),
        (scored(A=2, B=facts(2, outcome="off_pattern")), True),
        (scored(A=2, B=facts(None)), True),
        (scored(A=2), True),
    ],
)
def test_an_order_is_stale_once_a_total_or_an_outcome_under_it_has_moved(
    then: Mapping[str, RideScore], stale: bool
) -> None:
    settled = order("B A", scored(A=2, B=2))
    assert settled.has_moved(then) is stale


def test_an_order_says_of_some_entries_what_it_says_of_all() -> None:
    said = order("D A C", ABCD)
    some = said.among({"A", "B", "D"})
    assert some.order == ("D", "A")
    assert [line.entry for line in some.basis] == ["D", "A"]
    assert (some.order_id, some.by) == (said.order_id, said.by)


def test_a_stale_order_is_still_applied_and_shown_as_stale() -> None:
    before = scored(A=4, B=2, C=0)
    after = scored(A=3, B=2, C=0)
    rows = place(SMALL, after, [order("B A", before)])
    assert [(row.entry, row.stale) for row in rows] == [("B", True), ("A", True), ("C", False)]


def test_rail_work_that_may_only_part_ties_moves_nobody_else() -> None:
    assert placing(TIES_ONLY, ABCD, order("D A", ABCD)) == "1 A, 2 B, 3 C, 4 D"


def test_rail_work_that_may_do_nothing_parts_not_even_a_tie() -> None:
    scores = scored(NO_RAIL, A=2, B=2)
    assert placing(NO_RAIL, scores, order("B A", scores)) == "1= A, 1= B"


def test_a_decision_on_a_tie_moves_nobody_else_where_rail_work_adjusts() -> None:
    assert placing(SMALL, ABCD, order("D A", ABCD, "judges_decision")) == "1 A, 2 B, 3 C, 4 D"


def test_rail_orders_are_applied_one_after_the_other() -> None:
    orders = (order("B A", ABCD), order("C A", ABCD))
    assert placing(SMALL, ABCD, *orders) == "1 B, 2 C, 3 A, 4 D"


MIXED = scored(A=4, B=2, C=facts(10, outcome="off_pattern"), D=facts(0, outcome="off_pattern"))


def test_rail_work_lifts_nobody_over_the_line_between_complete_and_other_runs() -> None:
    assert placing(SMALL, MIXED) == "1 A, 2 B, 3 C, 4 D"
    assert placing(SMALL, MIXED, order("D C B A", MIXED)) == "1 B, 2 A, 3 D, 4 C"


def test_rail_work_crosses_that_line_where_the_book_says_so() -> None:
    assert placing(CROSSING, MIXED, order("C A", MIXED)) == "1 C, 2 B, 3 A, 4 D"
