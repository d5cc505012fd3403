"""Orders that went stale: confirmed, withdrawn, set anew."""

import pytest

from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.judged_class.events import BasisLine
from events.judged_class.standing import stale_orders
from tests.core.books import TIES_ONLY
from tests.core.judged_class.scene import (
    STEWARD,
    Scene,
    correction,
    entry,
    mark,
    order,
    outcome,
    ridden,
    scribe,
)

CONFIRM = ask.ConfirmOrder(seat="A", order_id="r1")
WITHDRAW = ask.WithdrawOrder(seat="A", order_id="r1")


def stale(scene: Scene) -> tuple[str, ...]:
    return stale_orders(scene.state, scene.state.cards["A"], scene.book)


def ordered() -> Scene:
    return ridden(e1=4, e2=2, e3=0).given(order("A", "r1", "e2 e1"))


def moved() -> Scene:
    """The signed card of ``ordered``, with a total under the order corrected."""
    scene = ordered().signed()
    first = scene.state.cards["A"].rides["e1"].marks[1].version
    return scene.given(correction("c1", mark("A", "e1", 1, 3), replaces=first))


def test_an_order_stands_firm_while_nothing_under_it_moves() -> None:
    scene = ordered().given(mark("A", "e3", 1, 1))
    assert stale(scene) == ()
    assert scene.when(CONFIRM) == ()


def test_marking_again_under_an_order_makes_it_stale() -> None:
    scene = ordered().given(mark("A", "e1", 1, 5))
    assert stale(scene) == ("r1",)
    assert [row.entry for row in scene.rows() if row.stale] == ["e2", "e1"]


def test_marking_back_makes_it_firm_again() -> None:
    scene = ordered().given(mark("A", "e1", 1, 5), mark("A", "e1", 1, 4))
    assert stale(scene) == ()


def test_a_stale_order_is_confirmed_on_what_its_entries_stand_at_now() -> None:
    scene = moved()
    assert scene.when(CONFIRM, scribe("A")) == (
        happened.OrderConfirmed(
            seat="A",
            order_id="r1",
            basis=(BasisLine(entry="e2", total=142), BasisLine(entry="e1", total=143)),
        ),
    )
    scene.given(CONFIRM)
    assert stale(scene) == ()
    assert scene.state.cards["A"].orders[0].confirmed == len(scene.log)
    assert scene.placed() == {"e2": "1", "e1": "2", "e3": "3"}


def test_confirming_one_order_leaves_another_stale() -> None:
    scene = ordered().given(order("A", "r2", "e1 e2"), mark("A", "e1", 1, 5), CONFIRM)
    assert stale(scene) == ("r2",)


def test_a_stale_order_is_withdrawn_from_a_signed_card() -> None:
    scene = moved().given(WITHDRAW, by=scribe("A"))
    assert scene.log[-1] == happened.OrderWithdrawn(seat="A", order_id="r1")
    assert scene.placed() == {"e1": "1", "e2": "2", "e3": "3"}


def test_an_order_that_stands_firm_stays_on_a_signed_card() -> None:
    ordered().signed().refuses(WITHDRAW, "order_not_stale", "order_id")


def test_any_order_is_withdrawn_from_an_open_card() -> None:
    scene = ordered().given(order("A", "r2", "e3 e1"), WITHDRAW)
    assert [standing.event.order_id for standing in scene.state.cards["A"].orders] == ["r2"]


def test_an_order_that_does_not_stand_is_withdrawn_already() -> None:
    assert ridden(e1=0).when(WITHDRAW) == ()


def test_an_order_that_does_not_stand_is_not_confirmed() -> None:
    ridden(e1=0).refuses(CONFIRM, "unknown_order", "order_id")


@pytest.mark.parametrize("asked", [CONFIRM, WITHDRAW])
def test_orders_stand_on_the_card_of_a_seat(asked: ask.ConfirmOrder | ask.WithdrawOrder) -> None:
    other = type(asked)(seat="B", order_id="r1")
    ordered().refuses(other, "unknown_seat", "seat")


def test_an_order_over_an_entry_that_takes_no_place_any_more_is_only_withdrawn() -> None:
    scene = ordered().given(outcome("A", "e1", "disqualified"))
    refused = scene.refusal(CONFIRM)
    assert (refused.code, refused.field) == ("order_names_unplaced", "order_id")
    assert refused.facts["entries"] == ("e1",)
    scene.given(WITHDRAW)


def test_an_order_that_misses_who_joined_its_tie_is_set_anew() -> None:
    scene = ridden(TIES_ONLY, e1=2, e2=2, e3=0).given(order("A", "r1", "e2 e1")).signed()
    first = scene.state.cards["A"].rides["e3"].marks[1].version
    scene.given(correction("c1", mark("A", "e3", 1, 2), replaces=first))
    assert stale(scene) == ("r1",)
    assert scene.placed() == {"e1": "1=", "e2": "1=", "e3": "1="}
    refused = scene.refusal(CONFIRM)
    assert (refused.code, refused.field) == ("order_splits_a_tie", "order_id")
    assert refused.facts["entries"] == ("e3",)
    scene.given(order("A", "r2", "e3 e2 e1"), by=STEWARD)
    assert stale(scene) == ()
    assert scene.placed() == {"e3": "1", "e2": "2", "e1": "3"}


def test_a_learners_order_over_an_entry_that_is_scratched_later_is_withdrawn() -> None:
    scene = Scene().planned(2, learners="L").marked({"e1": 4, "e2": 2}, "L")
    scene.given(order("L", "r1", "e2 e1")).signed("L")
    scene.given(ask.ScratchEntry(ref=entry("e1")))
    confirm = ask.ConfirmOrder(seat="L", order_id="r1")
    scene.refuses(confirm, "order_names_unplaced", "order_id")
    scene.given(ask.WithdrawOrder(seat="L", order_id="r1"))


def test_official_results_keep_their_orders() -> None:
    ordered().official().refuses(WITHDRAW, "wrong_phase", None)
