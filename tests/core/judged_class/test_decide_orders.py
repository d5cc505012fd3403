"""Orders that a judge sets over totals: rail work, run-offs, the judge's decision."""

import msgspec
import pytest

from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.judged_class.commands import EntryRef
from events.judged_class.events import BasisLine, OrderBy
from tests.core.books import CROSSING, NO_RAIL, TIES_ONLY, rail, shipped, small, tie
from tests.core.judged_class.scene import (
    STEWARD,
    Scene,
    accept,
    mark,
    order,
    outcome,
    ridden,
    rider,
    scribe,
)

HORSEMANSHIP = shipped("western-horsemanship")
RUN_OFF_FOR_FIRST = small(rail=rail("none"), ties=(tie("run_off", places=1),))


def test_an_order_is_kept_with_its_basis_and_its_reason() -> None:
    scene = ridden(e1=6, e2=4)
    asked = msgspec.structs.replace(order("A", "r1", "e2 e1"), reason="sha256:softer")
    assert scene.when(asked, scribe("A")) == (
        happened.OrderSet(
            seat="A",
            order_id="r1",
            by="rail_work",
            order=("e2", "e1"),
            basis=(BasisLine(entry="e2", total=144), BasisLine(entry="e1", total=146)),
            reason="sha256:softer",
        ),
    )


def test_rail_work_reorders_the_named_inside_the_places_that_they_hold() -> None:
    # Design, section 5: with A 75, B 74, C 73, D 72 the order D, B, C makes A, D, B, C.
    scene = ridden(HORSEMANSHIP, e1=6, e2=4, e3=2, e4=0)
    scene.given(order("A", "r1", "e4 e2 e3"))
    assert scene.placed() == {"e1": "1", "e4": "2", "e2": "3", "e3": "4"}
    assert [row.total for row in scene.rows()] == [146, 140, 144, 142]


def test_entries_are_named_by_their_numbers_too() -> None:
    scene = ridden(e1=6, e2=4)
    refs = (EntryRef(working_order=2), EntryRef(back_number=214))
    scene.given(ask.SetOrder(seat="A", order_id="r1", order=refs))
    assert scene.placed() == {"e2": "1", "e1": "2"}


def test_rail_work_parts_a_tie() -> None:
    scene = ridden(TIES_ONLY, e1=2, e2=2, e3=0)
    assert scene.placed() == {"e1": "1=", "e2": "1=", "e3": "3"}
    scene.given(order("A", "r1", "e2 e1"))
    assert scene.placed() == {"e2": "1", "e1": "2", "e3": "3"}


@pytest.mark.parametrize("by", ["run_off", "judges_decision"])
def test_a_tie_is_parted_by_the_step_that_the_book_has(by: OrderBy) -> None:
    scene = ridden(TIES_ONLY, e1=2, e2=2).given(order("A", "r1", "e2 e1", by))
    assert scene.placed() == {"e2": "1", "e1": "2"}


@pytest.mark.parametrize("by", ["rail_work", "run_off", "judges_decision"])
def test_a_judge_may_think_again_with_another_order(by: OrderBy) -> None:
    scene = ridden(TIES_ONLY, e1=2, e2=2, e3=2)
    scene.given(order("A", "r1", "e3 e2 e1", by), order("A", "r2", "e1 e2", by))
    assert scene.placed() == {"e3": "1", "e1": "2", "e2": "3"}


def test_an_order_by_a_step_that_comes_too_late_is_refused() -> None:
    scene = ridden(TIES_ONLY, e1=2, e2=2).given(order("A", "r1", "e2 e1"))
    asked = order("A", "r2", "e1 e2", "judges_decision")
    scene.refuses(asked, "order_without_effect", "order")


def test_an_order_of_a_tie_that_the_book_parts_by_itself_is_refused() -> None:
    book = small(rail=rail("none"), ties=(tie("rider_mark"), tie("judges_decision")))
    scene = ridden(book, e1=2, e2=0).given(rider("A", "e2", 2))
    scene.refuses(order("A", "r1", "e1 e2", "judges_decision"), "order_without_effect", "order")


def test_an_order_names_all_of_a_tie_or_none_of_it() -> None:
    scene = ridden(TIES_ONLY, e1=2, e2=2, e3=2)
    refused = scene.refusal(order("A", "r1", "e2 e1"))
    assert (refused.code, refused.field) == ("order_splits_a_tie", "order")
    assert refused.facts["entries"] == ("e3",)


def test_rail_work_that_adjusts_names_whole_ties_too() -> None:
    scene = ridden(e1=4, e2=2, e3=2)
    scene.refuses(order("A", "r1", "e2 e1"), "order_splits_a_tie", "order")
    scene.given(order("A", "r1", "e3 e1 e2"))
    assert scene.placed() == {"e3": "1", "e1": "2", "e2": "3"}


def test_an_order_leaves_a_tie_that_it_does_not_touch_alone() -> None:
    scene = ridden(e1=4, e2=2, e3=0, e4=0).given(order("A", "r1", "e2 e1"))
    assert scene.placed() == {"e2": "1", "e1": "2", "e3": "3=", "e4": "3="}


@pytest.mark.parametrize(
    ("asked", "code", "field"),
    [
        (order("A", "r1", "e1"), "order_too_short", "order"),
        (order("A", "r1", ""), "order_too_short", "order"),
        (order("A", "r1", "e1 e2 e1"), "order_names_twice", "order[2]"),
        (order("A", "r1", "e1 e9"), "unknown_entry", "order[1]"),
        (order("B", "r1", "e1 e2"), "unknown_seat", "seat"),
        (order("A", "r1", "e1 e2", "run_off"), "tie_step_not_in_rule_book", "by"),
        (order("A", "r1", "e1 e2", "judges_decision"), "order_not_a_tie", "order"),
    ],
)
def test_an_order_that_is_not_in_order_is_refused(
    asked: ask.SetOrder, code: str, field: str
) -> None:
    ridden(e1=4, e2=2).refuses(asked, code, field)


def test_an_order_names_entries_that_take_a_place() -> None:
    scene = Scene().planned(3).marked({"e1": 0, "e2": 0}).given(mark("A", "e3", 1, 0))
    refused = scene.refusal(order("A", "r1", "e1 e3"))
    assert (refused.code, refused.field) == ("entry_not_placed", "order[1]")
    scene.given(outcome("A", "e1", "disqualified"))
    scene.refuses(order("A", "r1", "e1 e2"), "entry_not_placed", "order[0]")


def test_an_order_names_entries_of_the_draw() -> None:
    scene = ridden(e1=0, e2=0).given(accept(3))
    scene.refuses(order("A", "r1", "e3 e1"), "entry_not_drawn", "order[0]")


def test_rail_work_that_only_parts_ties_leaves_unequal_totals_alone() -> None:
    scene = ridden(TIES_ONLY, e1=4, e2=2)
    refused = scene.refusal(order("A", "r1", "e2 e1"))
    assert (refused.code, refused.field) == ("order_not_a_tie", "order")


def test_equal_totals_on_either_side_of_an_outcome_are_no_tie() -> None:
    scene = ridden(TIES_ONLY, e1=2, e2=2).given(outcome("A", "e2", "off_pattern"))
    scene.refuses(order("A", "r1", "e1 e2"), "order_not_a_tie", "order")


def test_a_book_without_rail_work_takes_no_order_of_it() -> None:
    scene = ridden(NO_RAIL, e1=2, e2=2)
    refused = scene.refusal(order("A", "r1", "e1 e2"))
    assert (refused.code, refused.field) == ("no_rail_work", "by")
    assert refused.rule == "small 1, rail"


def test_an_order_lifts_nobody_over_a_better_outcome() -> None:
    scene = ridden(e1=2, e2=6, e3=0).given(outcome("A", "e2", "off_pattern"))
    refused = scene.refusal(order("A", "r1", "e1 e2 e3"))
    assert (refused.code, refused.field) == ("order_crosses_outcomes", "order[1]")
    scene.given(order("A", "r1", "e3 e1 e2"))
    assert scene.placed() == {"e3": "1", "e1": "2", "e2": "3"}


def test_an_order_lifts_over_outcomes_where_the_book_lets_it() -> None:
    scene = ridden(CROSSING, e1=2, e2=0).given(outcome("A", "e2", "off_pattern"))
    scene.given(order("A", "r1", "e2 e1"))
    assert scene.placed() == {"e2": "1", "e1": "2"}


def test_a_run_off_for_first_place_parts_no_other_tie() -> None:
    # NRHA, Rules for Judging, B(2): a tie for first place may be worked off.
    scene = ridden(RUN_OFF_FOR_FIRST, e1=4, e2=2, e3=2)
    refused = scene.refusal(order("A", "r1", "e3 e2", "run_off"))
    assert (refused.code, refused.field) == ("tie_step_not_for_this_place", "order")
    assert refused.facts["place"] == 2
    scene.given(mark("A", "e2", 1, 4))
    scene.given(order("A", "r1", "e2 e1", "run_off"))
    assert scene.placed() == {"e2": "1", "e1": "2", "e3": "3"}


def test_rail_work_that_adjusts_reaches_every_place_whatever_the_tie_steps() -> None:
    book = small(ties=(tie("run_off", places=1),))
    scene = ridden(book, e1=4, e2=2, e3=2)
    scene.refuses(order("A", "r1", "e3 e2", "run_off"), "tie_step_not_for_this_place", "order")
    scene.given(order("A", "r1", "e3 e2"))
    assert scene.placed() == {"e1": "1", "e3": "2", "e2": "3"}


def test_an_order_id_belongs_to_one_order_of_a_card() -> None:
    scene = Scene().planned(2, seats="AB").marked({"e1": 4, "e2": 2})
    scene.marked({"e1": 4, "e2": 2}, "B").given(order("A", "r1", "e2 e1"))
    scene.refuses(order("A", "r1", "e1 e2"), "order_id_taken", "order_id")
    scene.given(order("B", "r1", "e1 e2"))


def test_on_a_signed_card_the_steward_records_the_judges_new_order() -> None:
    scene = ridden(e1=4, e2=2).signed()
    asked = order("A", "r1", "e2 e1")
    scene.refuses(asked, "card_is_signed", "seat", by=scribe("A"))
    scene.refuses(asked, "card_is_signed", "seat")
    scene.given(asked, by=STEWARD)


def test_on_an_open_card_it_is_the_judges_scribe_who_writes() -> None:
    ridden(e1=4, e2=2).refuses(order("A", "r1", "e2 e1"), "card_not_signed", "seat", by=STEWARD)
