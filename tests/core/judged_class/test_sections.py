"""A class ridden in sections: who rides in which, and that each is a class of its own."""

from collections.abc import Sequence

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.judged_class.evolve import fold
from events.judged_class.panel import panel_result
from events.judged_class.standing import class_size, divisions, rivals, sections, stale_orders
from events.projections.placing import ClassPlacing, cautions, placing
from events.projections.prize_money import prize_money
from events.rulebook.model import RuleBook
from events.scoring.draw_order import in_sections
from tests.core.books import PLACED, SMALL, SUMMED, TIMED
from tests.core.judged_class.scene import (
    OFFICE,
    Scene,
    accept,
    entry,
    mark,
    order,
    outcome,
    rider,
)


def names(count: int) -> tuple[str, ...]:
    return tuple(f"e{number + 1}" for number in range(count))


def split(*sizes: int) -> ask.SetDraw:
    return ask.SetDraw(order=names(sum(sizes)), sections=sizes)


def moved(text: str, *sizes: int) -> ask.RepairDraw:
    return ask.RepairDraw(order=tuple(text.split()), reason="sha256:why", sections=sizes or None)


def sectioned(*sizes: int, book: RuleBook = SMALL, seats: str = "A") -> Scene:
    return Scene(book).planned(sum(sizes), seats=seats).given(split(*sizes))


def read(scene: Scene) -> ClassPlacing:
    return placing(scene.state, scene.book)


def placed_in(scene: Scene, section: int, seat: str = "A") -> dict[str, int | None]:
    [card] = [s for s in read(scene).sections[section - 1].seats if s.seat == seat]
    return {row.entry: row.place for row in card.rows}


# --- who rides in which section -----------------------------------------------------------------


def test_working_order_numbers_run_on_from_one_section_to_the_next() -> None:
    state = sectioned(2, 3).state
    assert [state.section(name) for name in (*names(5), "e6")] == [1, 1, 2, 2, 2, None]
    assert state.working_order("e3") == 3
    assert sections(state) == {1: {"e1", "e2"}, 2: {"e3", "e4", "e5"}}


def test_a_class_ridden_as_one_has_no_sections() -> None:
    state = Scene().planned(2).state
    assert sections(state) == {}
    assert rivals(state, "e1") is None
    assert read(Scene().planned(2)).sections == ()


def test_one_section_is_none() -> None:
    scene = Scene().planned(3)
    assert scene.when(split(3)) == ()


@pytest.mark.parametrize("sizes", [(1, 1), (2, 2), (4, -1)])
def test_the_sections_hold_all_whom_the_draw_names(sizes: tuple[int, ...]) -> None:
    asked = ask.SetDraw(order=names(3), sections=sizes)
    Scene().planned(3).refuses(asked, "sections_do_not_add_up", "sections")


def test_sections_are_made_one_again_before_the_first_ride() -> None:
    scene = sectioned(2, 2).given(ask.SetDraw(order=names(4), sections=()))
    assert (scene.log[-1], scene.state.sections) == (happened.DrawSet(order=names(4)), ())
    scene = sectioned(2, 2).given(moved("e1 e2 e3 e4", 4))
    assert scene.log[-1] == happened.DrawRepaired(order=names(4), reason="sha256:why")


def test_an_order_that_says_nothing_of_sections_leaves_everybody_where_they_are() -> None:
    scene = sectioned(2, 2).given(moved("e2 e1 e4 e3"))
    assert scene.state.sections == (2, 2)
    scene.given(ask.SetDraw(order=("e1", "e2", "e4", "e3")))
    assert scene.state.sections == (2, 2)
    scene.refuses(moved("e2 e3 e1 e4"), "sections_not_said", "order[2]")


def test_an_entry_that_is_new_needs_to_be_told_its_section() -> None:
    scene = sectioned(2, 2).given(accept(5))
    scene.refuses(moved("e1 e2 e5 e3 e4"), "sections_not_said", "order[2]")
    scene.given(moved("e1 e2 e5 e3 e4", 3, 2))
    assert scene.state.section("e5") == 1


def test_a_scratched_entry_leaves_its_section_smaller() -> None:
    scene = sectioned(1, 2).given(ask.ScratchEntry(ref=entry("e1")))
    assert sections(scene.state) == {1: frozenset(), 2: {"e2", "e3"}}
    scene.given(moved("e2 e3"))
    assert scene.state.sections == (0, 2)
    assert [part.class_size for part in read(scene).sections] == [0, 2]


def test_an_entry_changes_sections_for_a_reason_until_it_is_judged() -> None:
    scene = sectioned(2, 2).given(mark("A", "e1", 1, 0))
    scene.given(moved("e1 e3 e2 e4", 2, 2))
    assert scene.state.section("e2") == 2
    scene.refuses(moved("e3 e2 e4 e1", 1, 3), "entry_judged", "order[3]")


def test_a_class_that_has_begun_is_neither_split_nor_made_one() -> None:
    scene = sectioned(2, 2).given(mark("A", "e1", 1, 0))
    scene.refuses(moved("e1 e2 e3 e4", 4), "class_has_begun", "sections")
    whole = Scene().planned(4).given(mark("A", "e1", 1, 0))
    whole.refuses(moved("e1 e2 e3 e4", 2, 2), "class_has_begun", "sections")
    whole.given(moved("e1 e3 e2 e4"))


def test_an_entry_that_a_judge_placed_stays_in_its_section() -> None:
    scene = sectioned(2, 2, book=PLACED).given(
        ask.PlaceCard(seat="A", order=(entry("e1"), entry("e2")))
    )
    scene.refuses(moved("e1 e3 e2 e4", 2, 2), "entry_judged", "order[2]")


# --- each section a class of its own ------------------------------------------------------------


def test_each_section_has_its_own_places_class_size_and_ties() -> None:
    scene = sectioned(2, 3).marked({"e1": 2, "e2": 0, "e3": 4, "e4": 0, "e5": 0})
    found = read(scene)
    assert [(part.section, part.class_size) for part in found.sections] == [(1, 2), (2, 3)]
    assert placed_in(scene, 1) == {"e1": 1, "e2": 2}
    assert placed_in(scene, 2) == {"e3": 1, "e4": 2, "e5": 2}
    assert (found.class_size, found.divisions) == (5, ())
    rows = [(row.entry, row.section, row.place, row.tied) for row in found.seats[0].rows]
    assert rows == [
        ("e1", 1, 1, False),
        ("e2", 1, 2, False),
        ("e3", 2, 1, False),
        ("e4", 2, 2, True),
        ("e5", 2, 2, True),
    ]


def test_an_entry_that_was_not_drawn_yet_stands_in_no_section() -> None:
    scene = sectioned(1, 1).given(accept(3))
    last = read(scene).seats[0].rows[-1]
    assert (last.entry, last.section, last.place) == ("e3", None, None)
    assert all("e3" not in placed_in(scene, section) for section in (1, 2))
    assert [each.entry for each in cautions(read(scene))] == ["e1", "e2", "e3"]


def test_an_order_names_entries_of_one_section() -> None:
    scene = sectioned(2, 2).marked(dict.fromkeys(names(4), 0))
    scene.refuses(order("A", "r1", "e1 e3"), "order_crosses_sections", "order[1]")
    scene.refuses(order("A", "r1", "e3 e4 e2"), "order_crosses_sections", "order[2]")
    scene.given(order("A", "r1", "e2 e1"), order("A", "r2", "e4 e3"))
    assert placed_in(scene, 1) == {"e2": 1, "e1": 2}
    assert placed_in(scene, 2) == {"e4": 1, "e3": 2}


def test_a_tie_in_one_section_is_no_tie_with_another() -> None:
    scene = sectioned(2, 2).marked(dict.fromkeys(names(4), 0))
    scene.given(order("A", "r1", "e2 e1", by="judges_decision"))
    assert placed_in(scene, 2) == {"e3": 1, "e4": 1}


def test_an_order_goes_stale_in_its_own_section_and_is_confirmed_there() -> None:
    scene = sectioned(2, 2).marked(dict.fromkeys(names(4), 0))
    scene.given(order("A", "r1", "e2 e1"), order("A", "r2", "e4 e3"), mark("A", "e4", 1, -2))
    assert stale_orders(scene.state, scene.state.cards["A"], SMALL) == ("r2",)
    scene.given(ask.ConfirmOrder(seat="A", order_id="r2"))
    assert stale_orders(scene.state, scene.state.cards["A"], SMALL) == ()


def test_a_panel_combines_each_section_by_itself() -> None:
    scene = sectioned(2, 1, book=SUMMED, seats="AB")
    scene.marked({"e1": 0, "e2": 2}).marked({"e1": 0, "e2": 0}, "B")
    assert [row.place for row in read(scene).sections[0].panel.rows] == [1, 2]
    assert read(scene).sections[1].panel.open == "Seat A, B has not finished."
    assert panel_result(scene.state, SUMMED).rows == ()
    scene.marked({"e3": 4}).marked({"e3": 4}, "B")
    whole = read(scene).panel
    assert [(row.entry, row.section, row.place) for row in whole.rows] == [
        ("e2", 1, 1),
        ("e1", 1, 2),
        ("e3", 2, 1),
    ]


def test_a_run_off_is_held_within_a_section() -> None:
    scene = sectioned(2, 2, book=SUMMED, seats="AB")
    for seat in "AB":
        scene.marked(dict.fromkeys(names(4), 0), seat)
    ridden_off = ask.HoldRunOff(order=(entry("e1"), entry("e3")))
    scene.refuses(ridden_off, "run_off_not_a_tie", "order")
    scene.refuses(ask.HoldRunOff(), "run_off_not_a_tie", "order")
    scene.given(ask.HoldRunOff(order=(entry("e4"), entry("e3"))))
    places = {row.entry: (row.place, row.tied) for row in read(scene).panel.rows}
    assert places == {"e1": (1, True), "e2": (1, True), "e4": (1, False), "e3": (2, False)}


def test_a_division_is_placed_within_each_section() -> None:
    scene = Scene().planned(1)
    for number in (2, 3, 4):
        scene.given(msgspec.structs.replace(accept(number), divisions=("youth",)))
    scene.given(split(2, 2)).marked({"e1": -2, "e2": 2, "e3": 0, "e4": 4})
    first, second = read(scene).sections
    assert [(d.name, d.class_size) for d in first.divisions] == [("youth", 1)]
    assert [(row.entry, row.place) for row in second.divisions[0].seats[0].rows] == [
        ("e4", 1),
        ("e3", 2),
    ]
    assert divisions(scene.state) == {"youth": {"e2", "e3", "e4"}}


def test_a_judge_places_one_section_and_then_the_next() -> None:
    scene = sectioned(2, 2, book=PLACED).given(accept(5))
    scene.refuses(
        ask.PlaceCard(seat="A", order=(entry("e1"), entry("e5"))), "entry_not_drawn", "order[1]"
    )
    scene.given(ask.PlaceCard(seat="A", order=(entry("e4"), entry("e3"))))
    assert placed_in(scene, 1) == {"e1": None, "e2": None}
    scene.refuses(ask.SignCard(seat="A"), "card_incomplete", "seat")
    scene.given(ask.PlaceCard(seat="A", order=(entry("e2"),)))
    assert scene.state.cards["A"].placed is not None
    assert scene.state.cards["A"].placed.event.order == ("e2", "e4", "e3")
    assert placed_in(scene, 1) == {"e2": 1, "e1": None}
    assert placed_in(scene, 2) == {"e4": 1, "e3": 2}
    scene.given(ask.PlaceCard(seat="A", order=()))
    assert placed_in(scene, 2) == {"e3": None, "e4": None}


# --- prize money --------------------------------------------------------------------------------


def purse(section: int | None, cents: int = 1_000) -> ask.AwardPrizeMoney:
    return ask.AwardPrizeMoney(purse=cents, percentages=("60", "40"), section=section)


def test_each_section_has_a_purse_of_its_own() -> None:
    scene = sectioned(1, 2).marked({"e1": 0, "e2": 2, "e3": 4}).official()
    scene.refuses(purse(None), "unknown_section", "section")
    scene.refuses(purse(3), "unknown_section", "section")
    scene.given(purse(1), purse(2))
    first, second = prize_money(scene.state, SMALL)
    assert [(prize.entry, prize.cents) for prize in first.event.prizes] == [("e1", 600)]
    assert [(prize.entry, prize.cents) for prize in second.event.prizes] == [
        ("e3", 600),
        ("e2", 400),
    ]
    assert (first.standing, second.standing, second.event.section) == ("stands", "stands", 2)
    scene.given(ask.WithdrawPrizeMoney(reason="sha256:why", section=1))
    assert [each.event.section for each in prize_money(scene.state, SMALL)] == [2]


def test_a_class_ridden_as_one_has_no_section_to_pay() -> None:
    scene = Scene().planned(1).marked({"e1": 0}).official()
    scene.refuses(purse(1), "unknown_section", "section")


# --- the cut ------------------------------------------------------------------------------------


def cut(size: int, *, per_section: bool, with_ties: bool = True) -> ask.MakeCut:
    return ask.MakeCut(size=size, per_section=per_section, with_ties=with_ties)


def test_so_many_go_on_from_each_section_or_from_all_of_them() -> None:
    scene = sectioned(2, 3).marked({"e1": 0, "e2": -2, "e3": 4, "e4": 2, "e5": -4}).posted()
    scene.given(cut(1, per_section=True))
    assert scene.log[-1] == happened.CutMade(size=1, qualified=("e1", "e3"), per_section=True)
    scene.given(cut(2, per_section=False))
    assert scene.log[-1] == happened.CutMade(size=2, qualified=("e3", "e4"))


def test_a_tie_at_the_cut_of_a_section_is_its_own() -> None:
    scene = sectioned(2, 2).marked({"e1": 0, "e2": 0, "e3": 2, "e4": 0}).posted()
    scene.given(cut(1, per_section=True, with_ties=False))
    assert scene.log[-1] == happened.CutMade(
        size=1, qualified=("e3",), tied_out=("e1", "e2"), per_section=True
    )


def test_a_class_ridden_as_one_is_not_cut_by_sections() -> None:
    scene = Scene().planned(2).marked({"e1": 0, "e2": 2}).posted()
    scene.refuses(cut(1, per_section=True), "class_without_sections", "per_section")


def test_a_panel_ranks_all_sections_together_for_a_cut_over_all() -> None:
    scene = sectioned(1, 2, book=SUMMED, seats="AB")
    for seat in "AB":
        scene.marked({"e1": 0, "e2": 4, "e3": 2}, seat)
    scene.posted().given(cut(2, per_section=False))
    assert scene.log[-1] == happened.CutMade(size=2, qualified=("e2", "e3"))


def test_times_are_compared_across_sections() -> None:
    scene = sectioned(1, 2, book=TIMED)
    for name, milliseconds in (("e1", 15_000), ("e2", 14_000), ("e3", 16_000)):
        scene.given(ask.GiveTime(seat="A", ref=entry(name), milliseconds=milliseconds))
    scene.posted().given(cut(2, per_section=False))
    assert scene.log[-1] == happened.CutMade(size=2, qualified=("e2", "e1"))


def test_places_are_not_compared_across_sections_but_call_backs_are() -> None:
    scene = sectioned(2, 2, book=PLACED)
    both = ask.PlaceCard(seat="A", order=tuple(map(entry, ("e2", "e1", "e3", "e4"))))
    scene.given(both)
    called = ask.CallBack(seat="A", entries=(entry("e1"), entry("e3")))
    ended = sectioned(2, 2, book=PLACED).given(both, called).posted()
    ended.given(cut(2, per_section=False))
    assert ended.log[-1] == happened.CutMade(size=2, qualified=("e1", "e3"))
    ended.given(cut(2, per_section=True))
    assert ended.log[-1] == happened.CutMade(size=2, qualified=("e1", "e3"), per_section=True)
    scene.posted().refuses(cut(1, per_section=False), "cut_across_sections", "per_section")
    scene.given(cut(1, per_section=True))
    assert scene.log[-1] == happened.CutMade(size=1, qualified=("e2", "e3"), per_section=True)


# --- for any class ------------------------------------------------------------------------------


@st.composite
def classes(draw: st.DrawFn) -> tuple[Sequence[int], Sequence[int], Sequence[int]]:
    """The sizes of a class's sections, and everybody's mark and penalty."""
    sizes = draw(st.lists(st.integers(1, 3), min_size=2, max_size=3).filter(lambda x: sum(x) < 9))
    marks = st.lists(st.integers(-2, 2), min_size=sum(sizes), max_size=sum(sizes))
    return sizes, draw(marks), draw(marks)


@given(of=classes())
def test_a_section_is_placed_as_a_class_of_its_own_would_be(
    of: tuple[Sequence[int], Sequence[int], Sequence[int]],
) -> None:
    sizes, firsts, riders = of
    scene = sectioned(*sizes)

    def judged(entries: Sequence[str], into: Scene) -> Scene:
        for name in entries:
            at = int(name[1:]) - 1
            into.given(mark("A", name, 1, firsts[at]), mark("A", name, 2, 0))
            into.given(rider("A", name, riders[at] + 2))
        return into

    judged(names(sum(sizes)), scene)
    seen: list[str] = []
    for number, size in enumerate(sizes, start=1):
        theirs = names(sum(sizes))[len(seen) : len(seen) + size]
        alone = Scene().planned(sum(sizes))
        for name in set(names(sum(sizes))) - set(theirs):
            alone.given(ask.ScratchEntry(ref=entry(name)))
        judged(theirs, alone)
        [by_itself] = read(alone).seats
        part = read(scene).sections[number - 1]
        assert [(row.entry, row.place, row.tied, row.total) for row in part.seats[0].rows] == [
            (row.entry, row.place, row.tied, row.total) for row in by_itself.rows
        ]
        assert part.class_size == class_size(alone.state, SMALL)
        seen += theirs
    assert sorted(seen) == sorted(names(sum(sizes)))


@given(count=st.integers(1, 60), at_most=st.integers(1, 30))
def test_sections_are_as_few_and_as_equal_as_they_can_be(count: int, at_most: int) -> None:
    sizes = in_sections(count, at_most)
    assert sum(sizes) == count
    assert max(sizes) <= at_most
    assert max(sizes) - min(sizes) <= 1
    assert (len(sizes) - 1) * at_most < count
    assert list(sizes) == sorted(sizes, reverse=True)


@given(
    order=st.permutations(names(5)),
    sizes=st.lists(st.integers(0, 9), max_size=4).map(tuple),
)
def test_whatever_an_old_log_says_nobody_is_in_two_sections(
    order: Sequence[str], sizes: tuple[int, ...]
) -> None:
    state = fold(
        [
            *Scene().planned(5).log,
            happened.DrawSet(order=tuple(order), sections=sizes),
        ]
    )
    found = sections(state)
    assert sum(len(part) for part in found.values()) == min(sum(sizes), 5)
    for number, part in found.items():
        assert all(state.section(name) == number for name in part)


def test_a_missed_gate_keeps_its_entry_out_of_its_own_sections_size() -> None:
    scene = sectioned(2, 2).given(ask.RecordMissedGate(ref=entry("e1")))
    scene.given(outcome("A", "e3", "disqualified"), by=OFFICE)
    assert [part.class_size for part in read(scene).sections] == [1, 2]
