"""Setting and repairing the working order."""

from collections.abc import Callable

import pytest

from events.judged_class import commands as ask
from events.judged_class import events as happened
from tests.core.judged_class.scene import SCHEDULE, Scene, accept, entry, mark

Asked = Callable[..., ask.SetDraw | ask.RepairDraw]


def three_accepted() -> Scene:
    return Scene().given(SCHEDULE, accept(1), accept(2), accept(3))


def draw(*order: str) -> ask.SetDraw:
    return ask.SetDraw(order=order)


def repair(*order: str) -> ask.RepairDraw:
    return ask.RepairDraw(order=order, reason="sha256:late")


def test_a_draw_gives_working_order_numbers_from_one() -> None:
    scene = three_accepted().given(ask.SetDraw(order=("e2", "e3", "e1"), seed="4711"))
    assert scene.log[-1] == happened.DrawSet(order=("e2", "e3", "e1"), seed="4711")
    numbers = [scene.state.working_order(name) for name in ("e1", "e2", "e3", "e4")]
    assert numbers == [3, 1, 2, None]


def test_a_draw_may_be_set_anew_before_the_first_ride() -> None:
    scene = three_accepted().given(draw("e1", "e2", "e3"), draw("e3", "e2", "e1"))
    assert scene.state.draw == ("e3", "e2", "e1")


def test_a_class_without_entries_has_no_draw_to_set() -> None:
    assert Scene().given(SCHEDULE).when(draw()) == ()


@pytest.mark.parametrize("asked", [draw, repair])
def test_a_draw_names_only_entries_of_the_class(
    asked: Asked,
) -> None:
    scene = three_accepted().given(draw("e1", "e2", "e3"))
    scene.refuses(asked("e1", "e9", "e2", "e3"), "unknown_entry", "order[1]")


@pytest.mark.parametrize("asked", [draw, repair])
def test_a_draw_names_nobody_twice(asked: Asked) -> None:
    scene = three_accepted().given(draw("e1", "e2", "e3"))
    scene.refuses(asked("e1", "e2", "e3", "e1"), "draw_names_twice", "order[3]")


@pytest.mark.parametrize("asked", [draw, repair])
def test_a_draw_leaves_nobody_out(asked: Asked) -> None:
    scene = three_accepted().given(draw("e1", "e2", "e3"))
    refused = scene.refusal(asked("e2"))
    assert (refused.code, refused.field) == ("draw_leaves_out", "order")
    assert refused.facts["entries"] == ("e1", "e3")
    assert "214, 305" in refused.message


def test_a_scratched_entry_may_keep_its_number_or_be_left_out() -> None:
    scene = three_accepted().given(draw("e1", "e2", "e3"), ask.ScratchEntry(ref=entry("e2")))
    scene.given(repair("e3", "e2", "e1"), repair("e3", "e1"))
    assert scene.state.draw == ("e3", "e1")


def test_there_must_be_a_draw_to_be_repaired() -> None:
    three_accepted().refuses(repair("e1", "e2", "e3"), "no_draw_yet", "order")


def test_a_draw_is_repaired_while_the_class_runs_and_not_set_anew() -> None:
    scene = Scene().planned().given(mark("A", "e1", 1, 0), accept(4))
    scene.refuses(draw("e1", "e2", "e3", "e4"), "wrong_phase", None)
    scene.given(repair("e1", "e4", "e2", "e3"))
    assert scene.log[-1] == happened.DrawRepaired(
        order=("e1", "e4", "e2", "e3"), reason="sha256:late"
    )


def test_whoever_has_ridden_keeps_the_place_in_the_draw() -> None:
    scene = Scene().planned(3, learners="L").given(mark("A", "e2", 1, 0), mark("L", "e3", 1, 0))
    for moved in (("e2", "e1", "e3"), ("e3", "e1", "e2")):
        refused = scene.refusal(repair(*moved))
        assert (refused.code, refused.field) == ("draw_moves_ridden", "order")
        assert (refused.facts["entry"], refused.facts["working_order"]) == ("e2", 2)
    scene.given(repair("e3", "e2", "e1"))


def test_a_scratched_entry_keeps_its_place_before_one_that_has_ridden() -> None:
    scene = Scene().planned(3).given(mark("A", "e2", 1, 0), ask.ScratchEntry(ref=entry("e1")))
    scene.refuses(repair("e2", "e3"), "draw_moves_ridden", "order")
    scene.given(ask.ScratchEntry(ref=entry("e3")))
    scene.given(repair("e1", "e2"))
