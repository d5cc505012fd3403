"""Judges who leave: unseated, replaced, or their seat closed; and panels that must still fit."""

import msgspec
import pytest

from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.projections.card import card_view
from events.projections.placing import cautions, placing
from events.rulebook.model import PanelChoice, SeatShare, TieSeats
from tests.core.books import SUMMED
from tests.core.judged_class.scene import (
    NOON,
    SCHEDULE,
    STEWARD,
    Scene,
    accept,
    correction,
    mark,
    order,
    rider,
    scribe,
)

WHY = "sha256:taken-ill"
UNSEAT = ask.UnseatJudge(seat="B", reason=WHY)
REPLACE = ask.ReplaceJudge(seat="A", judge="judge-X", reason=WHY)
CLOSE = ask.CloseSeat(seat="B", reason=WHY)
SUM = PanelChoice(method="sum")
MIDDLE = PanelChoice(method="drop_high_low_sum")


def weighted(**weights: str) -> PanelChoice:
    shares = tuple(SeatShare(seat=seat, weight=weight) for seat, weight in weights.items())
    return PanelChoice(method="weighted", values=(3, 2, 1), weights=shares)


def test_a_seat_is_given_up_before_it_has_judged() -> None:
    scene = Scene().planned(seats="AB").given(UNSEAT)
    assert scene.log[-1] == happened.JudgeUnseated(seat="B", reason=WHY)
    assert set(scene.state.cards) == {"A"}
    scene.given(ask.SeatJudge(seat="C", judge="judge-B"))


def test_a_seat_that_has_judged_is_not_given_up_but_may_be_filled_by_another() -> None:
    scene = Scene().planned(seats="AB").given(mark("B", "e1", 1, 0))
    scene.refuses(UNSEAT, "seat_has_judged", "seat")
    another = ask.SeatJudge(seat="B", judge="judge-X")
    scene.refuses(another, "seat_has_judged", "seat")


def test_two_judges_fill_one_card_and_each_ride_says_whose_it_is() -> None:
    scene = Scene().planned(2).marked({"e1": 2}).given(mark("A", "e2", 1, 1))
    scene.given(REPLACE, by=STEWARD)
    scene.given(mark("A", "e2", 1, 2), mark("A", "e2", 2, 0), rider("A", "e2", 0))
    card = card_view(scene.state, scene.state.cards["A"], scene.book)
    assert (card.judge, card.judges_before) == ("judge-X", ("judge-A",))
    judges = {ride.entry: ride.judges for ride in card.rides}
    assert judges == {"e1": ("judge-A",), "e2": ("judge-X",)}
    scene.signed().given(ask.PostResults())
    assert placing(scene.state, scene.book).seats[0].judges_before == ("judge-A",)


def test_a_ride_in_the_middle_of_which_the_judge_changed_names_both_and_no_corrector() -> None:
    scene = Scene().planned(1).given(mark("A", "e1", 1, 1), REPLACE, mark("A", "e1", 2, 0))
    scene.given(ask.GiveRiderMark(seat="A", ref=ask.EntryRef(entry="e1"), mark=0)).signed()
    put_right = correction(
        "c1", mark("A", "e1", 1, 2), replaces=scene.state.cards["A"].rides["e1"].marks[1].version
    )
    scene.given(put_right)
    [ride] = card_view(scene.state, scene.state.cards["A"], scene.book).rides
    assert ride.judges == ("judge-X",)
    again = ask.ReplaceJudge(seat="A", judge="judge-Y", reason=WHY)
    scene.refuses(again, "card_is_signed", "seat")


def test_a_judge_sits_in_one_seat_only_also_as_a_replacement() -> None:
    scene = Scene().planned(seats="AB")
    taken = msgspec.structs.replace(REPLACE, judge="judge-B")
    scene.refuses(taken, "judge_seated_elsewhere", "judge")
    scene.refuses(ask.ReplaceJudge(seat="Z", judge="j", reason=WHY), "unknown_seat", "seat")
    same = msgspec.structs.replace(REPLACE, judge="judge-A")
    assert scene.when(same) == ()


def test_a_learner_who_leaves_moves_no_result() -> None:
    scene = Scene().planned(learners="L").given(mark("L", "e1", 1, 0))
    changed_at = scene.state.changed_at
    scene.given(ask.ReplaceJudge(seat="L", judge="judge-X", reason=WHY))
    assert scene.state.changed_at == changed_at
    scene.refuses(ask.CloseSeat(seat="L", reason=WHY), "seat_of_a_learner", "seat")


def test_a_seat_that_did_not_finish_is_closed_and_the_panel_goes_on_without_it() -> None:
    scene = Scene(SUMMED).planned(2, seats="ABC")
    for seat in "AC":
        scene.marked({"e1": 2, "e2": 0}, seat)
    scene.given(mark("B", "e1", 1, 6))
    scene.signed("AC").refuses(ask.PostResults(), "cards_not_signed", None)
    scene.given(CLOSE, by=STEWARD)
    assert scene.log[-1] == happened.SeatClosed(seat="B", reason=WHY)
    scene.given(ask.PostResults())
    whole = placing(scene.state, scene.book)
    assert [row.figure for row in whole.panel.rows] == [142, 140]
    assert cautions(whole) == ()
    closed = next(seat for seat in whole.seats if seat.seat == "B")
    assert closed.kind == "closed"
    assert scene.state.cards["B"].rides["e1"].marks[1].event.mark == 6


def test_nothing_more_is_written_on_the_card_of_a_closed_seat() -> None:
    scene = Scene().planned(seats="AB").given(mark("B", "e1", 1, 0), CLOSE)
    scene.refuses(mark("B", "e1", 1, 1), "seat_closed", "seat", by=scribe("B"))
    scene.refuses(order("B", "r1", "e1 e2"), "seat_closed", "seat")
    scene.refuses(ask.SignCard(seat="B"), "seat_closed", "seat")
    back = ask.SeatJudge(seat="B", judge="judge-B")
    scene.refuses(back, "seat_closed", "seat")
    scene.given(ask.SeatJudge(seat="C", judge="judge-B"))


def test_somebody_is_left_to_judge() -> None:
    scene = Scene().planned(seats="B").given(mark("B", "e1", 1, 0))
    scene.refuses(CLOSE, "last_judge", "seat")


def test_a_panel_that_no_longer_fits_is_changed_with_the_seat_that_is_closed() -> None:
    scheduled = msgspec.structs.replace(SCHEDULE, panel=MIDDLE)
    scene = Scene().given(scheduled)
    for seat in "ABC":
        scene.given(ask.SeatJudge(seat=seat, judge=f"judge-{seat}"))
    refused = scene.refusal(CLOSE)
    assert (refused.code, refused.field) == ("panel_unfit", "panel")
    assert "takes three seats or more" in refused.message
    changed = msgspec.structs.replace(CLOSE, panel=SUM)
    scene.given(changed)
    assert scene.state.scheduled is not None
    assert scene.state.scheduled.panel == SUM


def test_a_panel_is_changed_before_the_first_ride_if_it_fits_who_is_seated() -> None:
    scene = Scene().planned(seats="AB")
    unfit = ask.ChangePanel(panel=MIDDLE, reason=WHY)
    scene.refuses(unfit, "panel_unfit", "panel")
    scene.given(ask.ChangePanel(panel=SUM, reason=WHY))
    scene.given(ask.ChangePanel(reason=WHY))
    assert scene.state.scheduled is not None
    assert scene.state.scheduled.panel is None
    empty = ask.ChangePanel(panel=weighted(), reason=WHY)
    scene.refuses(empty, "panel_weights_missing", "panel.weights")
    by_number = PanelChoice(method="sum", tie_judge=TieSeats(odd="A", even="B"))
    numberless = ask.ChangePanel(panel=by_number, reason=WHY)
    scene.refuses(numberless, "panel_needs_number", "panel.tie_judge")
    scene.given(mark("A", "e1", 1, 0))
    scene.refuses(ask.ChangePanel(panel=SUM, reason=WHY), "panel_stands", "panel")


def test_a_panel_may_be_chosen_while_nobody_is_seated() -> None:
    scene = Scene().given(SCHEDULE, ask.ChangePanel(panel=MIDDLE, reason=WHY))
    assert scene.now == NOON


def test_a_judge_is_not_seated_where_a_weighted_panel_gives_no_weight() -> None:
    scheduled = msgspec.structs.replace(SCHEDULE, panel=weighted(A="0.3", B="0.7"))
    scene = Scene().given(scheduled, ask.SeatJudge(seat="A", judge="judge-A"))
    unweighed = ask.SeatJudge(seat="C", judge="judge-C")
    scene.refuses(unweighed, "seat_without_weight", "seat")
    learner = msgspec.convert({"seat": "L", "judge": "l", "kind": "learner"}, ask.SeatJudge)
    scene.given(learner)


@pytest.mark.parametrize("protested", ["B"])
def test_a_protest_may_still_be_about_a_closed_seat(protested: str) -> None:
    scene = Scene().planned(seats="AB").given(mark("B", "e1", 1, 0), CLOSE)
    protest = ask.FileProtest(
        protest="t1", filed_by="p1", ground="sums", statement="x", seat=protested, fee_paid=True
    )
    scene.given(protest)


def test_a_panel_that_wants_for_a_seat_is_found_at_posting_at_the_latest() -> None:
    scheduled = msgspec.structs.replace(SCHEDULE, panel=weighted(A="0.3", B="0.7"))
    scene = Scene().given(scheduled, ask.SetPattern(maneuvers=("Walk",)))
    scene.given(ask.SeatJudge(seat="A", judge="judge-A"), accept(1), ask.SetDraw(order=("e1",)))
    scene.marked({"e1": 0}).signed()
    scene.refuses(ask.PostResults(), "panel_unfit", None)
    scene.given(ask.ChangePanel(panel=SUM, reason=WHY), ask.PostResults())
