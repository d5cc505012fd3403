"""Lots, sections and late entries, whatever entries there are."""

from collections.abc import Sequence
from itertools import pairwise

import msgspec
from hypothesis import given
from hypothesis import strategies as st

from events.judged_class.events import ClassEvent, DrawSet, EntryAccepted
from events.judged_class.evolve import fold
from events.judged_class.state import ClassState
from events.rulebook.model import DrawRule
from events.scoring.draw_clashes import SpacingLimits
from service.books import shipped_book
from service.desk.draw_steps import (
    LotPlan,
    SplitPlan,
    Step,
    steps_by_lot,
    steps_of_late,
    steps_of_split,
)

BOOK = shipped_book("western-horsemanship")
SPACED = SpacingLimits(rider_apart=(2, 3))


def accepted(number: int, *, late: bool = False, riders: int = 99) -> EntryAccepted:
    rider = f"p{number % riders}"
    return EntryAccepted(entry=f"e{number}", back_number=number, exhibitor=rider, late=late)


def parts(step: Step) -> list[tuple[str, ...]]:
    """The order of a step in its sections."""
    sizes, order = step.sections or (len(step.order),), list(step.order)
    return [tuple(order.pop(0) for _ in range(size)) for size in sizes]


def known(events: Sequence[ClassEvent]) -> ClassState:
    return fold(events)


COUNTS = st.integers(1, 40)
LIMITS = st.integers(1, 20)


@given(count=COUNTS, most=LIMITS, seed=st.text("abc", max_size=3), late=st.integers(0, 9))
def test_everybody_is_in_one_section_and_sections_differ_by_one_at_most(
    count: int, most: int, seed: str, late: int
) -> None:
    entries = [accepted(n, late=n > count) for n in range(1, count + late + 1)]
    [step] = steps_by_lot(known(entries), BOOK, LotPlan(split_above=most), seed)
    found = parts(step)
    sizes = [len(part) for part in found]
    assert sorted(name for part in found for name in part) == sorted(e.entry for e in entries)
    assert max(sizes) - min(sizes) <= 1
    assert max(sizes) <= most
    assert len(found) == -(-(count + late) // most)


@given(
    lots=st.randoms(use_true_random=False),
    count=COUNTS,
    most=LIMITS,
    seed=st.text("abc", max_size=3),
)
def test_the_order_in_which_entries_came_changes_no_lot_and_no_section(
    lots: object, count: int, most: int, seed: str
) -> None:
    entries = [accepted(n) for n in range(1, count + 1)]
    shuffled = list(entries)
    lots.shuffle(shuffled)  # type: ignore[attr-defined]  # Hypothesis hands out a Random
    plan = LotPlan(split_above=most)
    assert steps_by_lot(known(entries), BOOK, plan, seed) == steps_by_lot(
        known(shuffled), BOOK, plan, seed
    )


@given(count=st.integers(9, 30), most=st.integers(4, 12), seed=st.text("abcd", max_size=4))
def test_a_repair_keeps_the_sizes_of_the_sections_and_says_who_crossed(
    count: int, most: int, seed: str
) -> None:
    # AHA, AEPA Class: Establishing 'Order of Go': two others, then three, between a rider's rides.
    entries = [accepted(n, riders=max(5, count - 3)) for n in range(1, count + 1)]
    plan = LotPlan(split_above=most, limits=SPACED, as_far_as_possible=True)
    steps = steps_by_lot(known(entries), BOOK, plan, seed)
    for before, after in pairwise(steps):
        assert after.sections == before.sections
        assert after.reason is not None
        crossed = {
            name
            for old, new in zip(parts(before), parts(after), strict=True)
            for name in set(old) ^ set(new)
        }
        said = after.reason.partition(" In another section now: ")[2]
        told = {f"e{word}" for word in said.replace(",", "").split()[2::6]} if said else set()
        assert told == crossed


@given(count=COUNTS, most=LIMITS, late=st.integers(1, 9))
def test_late_entries_leave_everybody_else_in_place_and_sections_equal(
    count: int, most: int, late: int
) -> None:
    entries: list[ClassEvent] = [accepted(n) for n in range(1, count + 1)]
    [first] = steps_by_lot(known(entries), BOOK, LotPlan(split_above=most), "dice")
    drawn = [*entries, DrawSet(order=first.order, sections=first.sections)]
    came = [accepted(n) for n in range(count + 1, count + late + 1)]
    [step] = steps_of_late(known([*drawn, *came]), BOOK, None)
    sizes = [len(part) for part in parts(step)]
    assert max(sizes) - min(sizes) <= 1
    newcomers = {each.entry for each in came}
    for part, before in zip(parts(step), parts(first), strict=True):
        assert tuple(name for name in part if name not in newcomers) == before
    assert newcomers <= set(step.order)


@given(count=COUNTS, into=st.integers(1, 9))
def test_a_draw_that_is_split_and_made_one_again_is_the_draw_it_was(count: int, into: int) -> None:
    entries: list[ClassEvent] = [accepted(n) for n in range(1, count + 1)]
    order = tuple(f"e{n}" for n in range(1, count + 1))
    state = known([*entries, DrawSet(order=order)])
    parted = min(into, count)
    [split] = steps_of_split(state, SplitPlan(into=parted))
    assert len(parts(split)) == parted
    apart = known([*entries, DrawSet(order=split.order, sections=split.sections)])
    [whole] = steps_of_split(apart, SplitPlan(into=1))
    assert (whole.order, whole.sections, whole.reason) == (order, (), "Ridden as one class.")


def test_what_the_rule_book_says_is_done_unless_the_office_says_otherwise() -> None:
    rule = DrawRule(source="ours", late_entries="last", split_above=3, rider_apart=(2,))
    book = msgspec.structs.replace(BOOK, draw=rule)
    entries = [accepted(n, late=n == 4) for n in range(1, 5)]
    [by_the_book] = steps_by_lot(known(entries), book, LotPlan(), "dice")
    assert by_the_book.sections == (2, 2)
    assert by_the_book.order[-1] == "e4"
    said = LotPlan(split_above=9, late_entries="first_reversed")
    [otherwise] = steps_by_lot(known(entries), book, said, "dice")
    assert (otherwise.sections, otherwise.order[0]) == ((), "e4")
