"""The placing of a class as people read it, at whatever version."""

from fractions import Fraction

from events.judged_class import commands as ask
from events.projections.placing import ClassPlacing, PlacingRow, cautions, placing
from tests.core.books import SMALL, SUMMED, TIMED
from tests.core.judged_class.scene import (
    Scene,
    accept,
    entry,
    mark,
    order,
    outcome,
    ridden,
)


def read(scene: Scene) -> ClassPlacing:
    return placing(scene.state, scene.book)


def test_a_row_carries_both_numbers_of_the_entry_and_where_it_stands() -> None:
    scene = ridden(e1=2, e2=4).given(order("A", "r1", "e1 e2"), mark("A", "e2", 1, 3))
    (seat,) = read(scene).seats
    assert seat.rows[0] == PlacingRow(
        entry="e1",
        working_order=1,
        back_number=214,
        place=1,
        tied=False,
        total=142,
        outcome=None,
        complete=True,
        parted_by="rail_work",
        stale=True,
    )
    assert (seat.seat, seat.judge, seat.kind, seat.signed) == ("A", "judge-A", "judge", False)
    assert seat.stale_orders == ("r1",)


def test_the_placing_says_of_which_moment_it_is() -> None:
    scene = ridden(e1=2, e2=0).posted()
    found = read(scene)
    assert (found.version, found.phase, found.revision) == (len(scene.log), "posted", 1)
    assert found.class_size == 2
    assert found.seats[0].signed


def test_every_seat_has_its_placing_in_the_order_of_their_names() -> None:
    scene = Scene().planned(2, seats="CA", learners="B")
    for seat, marks in (("A", {"e1": 2, "e2": 0}), ("B", {"e1": 0, "e2": 2})):
        scene.marked(marks, seat)
    found = read(scene)
    assert [(seat.seat, seat.kind) for seat in found.seats] == [
        ("A", "judge"),
        ("B", "learner"),
        ("C", "judge"),
    ]
    assert [seat.rows[0].entry for seat in found.seats[:2]] == ["e1", "e2"]
    assert [row.place for row in found.seats[2].rows] == [None, None]


def test_an_entry_outside_the_draw_has_no_working_order_number() -> None:
    scene = ridden(e1=2).given(accept(2))
    assert [row.working_order for row in read(scene).seats[0].rows] == [1, None]


def test_a_class_before_anything_happened_can_be_read() -> None:
    found = placing(Scene().state, SMALL)
    assert (found.version, found.phase, found.class_size, found.seats) == (0, "unscheduled", 0, ())


def test_a_timed_row_shows_its_time_with_penalties() -> None:
    scene = Scene(TIMED).planned(1)
    scene.given(ask.GiveTime(seat="A", ref=entry("e1"), milliseconds=900, penalty_milliseconds=50))
    assert read(scene).seats[0].rows[0].milliseconds == 950


# --- panels and divisions -----------------------------------------------------------------------


def test_a_panel_shows_what_it_ranks_by() -> None:
    scene = Scene(SUMMED).planned(2, seats="AB").marked({"e1": 2, "e2": 0})
    scene.marked({"e1": 1, "e2": 2}, "B")
    panel = read(scene).panel
    assert (panel.method, panel.open) == ("sum", None)
    first, second = panel.rows
    assert (first.entry, first.working_order, first.back_number, first.place) == ("e1", 1, 214, 1)
    assert first.figure == Fraction(283, 2)
    assert second.figure == 141


def test_a_panel_that_still_waits_says_for_whom() -> None:
    scene = Scene(SUMMED).planned(1, seats="AB").marked({"e1": 2})
    panel = read(scene).panel
    assert (panel.rows, panel.open) == ((), "Seat B has not finished.")


def test_separate_results_leave_nothing_open() -> None:
    panel = read(ridden(e1=2)).panel
    assert (panel.method, panel.rows, panel.open) == ("separate", (), None)


def test_a_division_is_placed_among_its_own() -> None:
    scene = Scene().planned(1, learners="L")
    for name, number in (("y1", 11), ("y2", 12)):
        scene.given(
            ask.AcceptEntry(entry=name, back_number=number, exhibitor=name, divisions=("youth",))
        )
    scene.given(ask.SetDraw(order=("y1", "e1", "y2"))).marked({"y1": -2, "e1": 2, "y2": 4})
    scene.given(order("A", "r1", "e1 y2"))
    found = read(scene)
    assert [row.entry for row in found.seats[0].rows] == ["e1", "y2", "y1"]
    (youth,) = found.divisions
    assert (youth.name, youth.class_size) == ("youth", 2)
    (card,) = youth.seats
    assert [(row.entry, row.place) for row in card.rows] == [("y2", 1), ("y1", 2)]
    assert youth.panel.method == "separate"


# --- what whoever reads it ought to know --------------------------------------------------------


def test_what_is_missing_or_stale_on_a_judges_card_is_pointed_at() -> None:
    scene = ridden(e1=2, e2=0).given(order("A", "r1", "e2 e1"), mark("A", "e1", 1, 4), accept(3))
    missing, stale = cautions(read(scene))
    assert (missing.kind, missing.seat, missing.entry) == ("incomplete", "A", "e3")
    assert missing.says == "Seat A: back number 305 still wants marks."
    assert (stale.kind, stale.seat, stale.entry) == ("stale_order", "A", None)
    assert "order r1 is stale" in stale.says


def test_a_complete_class_is_read_without_a_word_of_caution() -> None:
    scene = ridden(e1=2, e2=0).given(outcome("A", "e2", "disqualified"))
    assert cautions(read(scene)) == ()


def test_nobody_is_cautioned_about_a_learners_card() -> None:
    scene = Scene().planned(2, learners="L").marked({"e1": 2, "e2": 0})
    assert cautions(read(scene)) == ()
