"""Panels that combine judges, run-offs between those they leave equal, cuts to the next round."""

import msgspec
import pytest

from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.judged_class.panel import PanelResult, panel_result, weight_of
from events.rulebook.model import PanelChoice, RuleBook, SeatShare, TieSeats
from tests.core.books import PLACED, SMALL, SUMMED, TIMED
from tests.core.judged_class.scene import (
    SCHEDULE,
    STEWARD,
    Scene,
    correction,
    entry,
    mark,
    order,
    outcome,
    ridden,
)


def scheduled(
    panel: PanelChoice | None = None, stage: happened.ClassRound | None = None
) -> ask.ScheduleClass:
    return msgspec.structs.replace(SCHEDULE, panel=panel, round=stage)


def weighted(*weights: tuple[str, str]) -> PanelChoice:
    shares = tuple(SeatShare(seat=seat, weight=weight) for seat, weight in weights)
    return PanelChoice(method="weighted", values=(3, 2, 1), weights=shares)


def judged(book: RuleBook = SUMMED, *, seats: str = "AB", **totals: tuple[int, ...]) -> Scene:
    """A class in which each seat gave each entry's first maneuver its own mark."""
    scene = Scene(book).planned(len(totals), seats=seats)
    for index, seat in enumerate(seats):
        scene.marked({name: marks[index] for name, marks in totals.items()}, seat)
    return scene


def run_off(order: str = "", declined: str = "", award_to: str | None = None) -> ask.HoldRunOff:
    return ask.HoldRunOff(
        order=tuple(map(entry, order.split())),
        declined=tuple(map(entry, declined.split())),
        award_to=entry(award_to) if award_to else None,
    )


def panel(scene: Scene) -> PanelResult:
    return panel_result(scene.state, scene.book)


def places(scene: Scene) -> dict[str, str]:
    return {row.entry: f"{row.place or '-'}{'=' if row.tied else ''}" for row in panel(scene).rows}


# --- how a class is combined --------------------------------------------------------------------


def test_a_class_is_combined_as_its_rule_book_says_unless_it_chose_otherwise() -> None:
    assert places(judged(e1=(2, 0), e2=(0, 4))) == {"e2": "1", "e1": "2"}
    chosen = Scene(SUMMED).given(scheduled(PanelChoice(method="separate")))
    assert panel(chosen).method == "separate"


def test_separate_results_make_no_panel() -> None:
    scene = judged(SMALL, e1=(2, 0), e2=(0, 4))
    assert panel(scene) == PanelResult(method="separate")


def test_a_panel_without_seats_or_without_entries_has_nothing_to_combine() -> None:
    nothing = PanelResult(method="sum")
    assert panel(Scene(SUMMED).planned(1, seats="")) == nothing
    scratched = Scene(SUMMED).planned(1, seats="AB").given(ask.ScratchEntry(ref=entry("e1")))
    assert panel(scratched) == nothing


def test_a_panel_waits_for_its_last_card() -> None:
    scene = judged(e1=(2, 0), e2=(0, 4)).given(
        ask.AcceptEntry(entry="e3", back_number=3, exhibitor="p3")
    )
    scene.given(ask.RepairDraw(order=("e1", "e2", "e3"), reason="sha256:late"))
    assert dict(panel(scene).unfinished) == {"A": ("e3",), "B": ("e3",)}


@pytest.mark.parametrize(
    ("choice", "code", "field"),
    [
        (PanelChoice(method="placing_values"), "panel_values_missing", "panel.values"),
        (PanelChoice(method="weighted"), "panel_values_missing", "panel.values"),
        (weighted(), "panel_weights_missing", "panel.weights"),
        (
            weighted(("A", "0.5"), ("B", "half")),
            "panel_weight_unreadable",
            "panel.weights[1].weight",
        ),
        (weighted(("A", "0")), "panel_weight_unreadable", "panel.weights[0].weight"),
        (
            PanelChoice(method="sum", call_judges=("A",), tie_judge=TieSeats(odd="A", even="B")),
            "panel_two_tie_rules",
            "panel.tie_judge",
        ),
    ],
)
def test_a_panel_that_cannot_work_is_not_scheduled(
    choice: PanelChoice, code: str, field: str
) -> None:
    Scene().refuses(scheduled(choice), code, field)


@pytest.mark.parametrize("text", ["0.3", "1", ".5", "2.", "0.25", "9" * 12])
def test_a_weight_is_a_decimal_number(text: str) -> None:
    weight = weight_of(text)
    assert weight is not None
    assert float(weight) == float(text)


@pytest.mark.parametrize("text", ["", ".", "0", "0.0", "-1", "1e3", "1/2", "1.2.3", "٣", "9" * 13])
def test_any_other_text_is_no_weight(text: str) -> None:
    assert weight_of(text) is None


@pytest.mark.parametrize(("number", "first"), [(7, "e1"), (8, "e2")])
def test_a_tie_judge_goes_by_the_number_of_the_class(number: int, first: str) -> None:
    # IHSA Western Scoring Explanation: odd and even classes have their tie judge.
    choice = PanelChoice(method="sum", tie_judge=TieSeats(odd="A", even="B"))
    scene = judged(SMALL, e1=(4, 0), e2=(0, 4))
    told = msgspec.structs.replace(scene.log[0], number=number, panel=choice)
    scene.state = msgspec.structs.replace(scene.state, scheduled=told)
    assert places(scene)[first] == "1"


def test_a_panel_that_does_not_fit_its_seats_is_not_posted() -> None:
    scene = Scene().given(scheduled(weighted(("A", "2"), ("Z", "1"))))
    scene.given(ask.SetPattern(maneuvers=("Walk",)), ask.SeatJudge(seat="A", judge="judge-A"))
    scene.given(ask.AcceptEntry(entry="e1", back_number=214, exhibitor="p1"))
    scene.given(ask.SetDraw(order=("e1",))).marked({"e1": 0}).signed()
    refused = scene.refusal(ask.PostResults())
    assert (refused.code, refused.field) == ("panel_unfit", None)


def test_an_unreadable_weight_in_an_old_log_leaves_the_panel_without_rows() -> None:
    scene = judged(SMALL, e1=(4, 0))
    told = msgspec.structs.replace(scene.log[0], panel=weighted(("A", "half"), ("B", "1")))
    scene.state = msgspec.structs.replace(scene.state, scheduled=told)
    assert panel(scene).unfit == "The weight of seat A cannot be read."


def test_totals_that_a_panel_cannot_add_are_not_posted() -> None:
    book = msgspec.structs.replace(TIMED, panel=SUMMED.panel)
    scene = Scene(book).planned(1)
    scene.given(ask.GiveTime(seat="A", ref=entry("e1"), milliseconds=9)).signed()
    refused = scene.refusal(ask.PostResults())
    assert (refused.code, refused.field) == ("panel_unfit", None)


# --- rounds -------------------------------------------------------------------------------------


def test_a_round_says_which_came_before() -> None:
    stage = happened.ClassRound(kind="final", after="c-1", carries=True)
    scene = Scene().given(scheduled(stage=stage))
    assert scene.state.scheduled is not None
    assert scene.state.scheduled.round == stage


def test_a_round_that_carries_totals_names_the_one_before() -> None:
    asked = scheduled(stage=happened.ClassRound(kind="final", carries=True))
    Scene().refuses(asked, "round_carries_nothing", "round.after")


def test_what_an_entry_carries_is_added_to_its_total() -> None:
    scene = ridden(e1=2).given(
        ask.AcceptEntry(entry="e2", back_number=2, exhibitor="p2", carried=140)
    )
    scene.given(ask.RepairDraw(order=("e1", "e2"), reason="sha256:late")).marked({"e2": 0})
    assert {row.entry: row.total for row in scene.rows()} == {"e2": 280, "e1": 142}


# --- run-offs -----------------------------------------------------------------------------------


def test_a_carried_total_follows_the_round_before() -> None:
    scene = Scene().planned(1).marked({"e1": 0})
    scene.given(ask.SetCarriedTotal(ref=entry("e1"), carried=141))
    assert scene.log[-1] == happened.CarriedTotalSet(entry="e1", carried=141)
    assert [row.total for row in scene.rows()] == [281]


def test_a_carried_total_that_moves_makes_an_order_stale_and_the_posting_old() -> None:
    scene = Scene().planned(2).marked({"e1": 0, "e2": 0}).given(order("A", "r1", "e2 e1")).posted()
    scene.given(ask.SetCarriedTotal(ref=entry("e1"), carried=141))
    scene.refuses(ask.MakeOfficial(), "order_stale", None)
    scene.given(ask.WithdrawOrder(seat="A", order_id="r1"))
    scene.refuses(ask.MakeOfficial(), "posting_out_of_date", None)


def test_a_scratched_entry_carries_nothing() -> None:
    scene = Scene().planned(2).given(ask.ScratchEntry(ref=entry("e1")))
    asked = ask.SetCarriedTotal(ref=entry("e1"), carried=141)
    scene.refuses(asked, "entry_scratched", "entry")


def test_a_run_off_parts_what_the_panel_left_equal() -> None:
    scene = judged(e1=(4, 0), e2=(0, 4), e3=(0, 0))
    assert places(scene) == {"e1": "1=", "e2": "1=", "e3": "3"}
    scene.given(run_off("e2 e1"), by=STEWARD)
    assert scene.log[-1] == happened.RunOffHeld(order=("e2", "e1"))
    assert places(scene) == {"e2": "1", "e1": "2", "e3": "3"}


def test_a_run_off_leaves_another_tie_alone() -> None:
    scene = judged(e1=(4, 0), e2=(0, 4), e3=(0, 0), e4=(0, 0)).given(run_off("e4 e3"))
    assert places(scene) == {"e1": "1=", "e2": "1=", "e4": "3", "e3": "4"}


def test_all_may_decline_and_share_the_title_with_a_toss_for_the_award() -> None:
    # NRHA, Rules for Judging, B(2).
    scene = judged(e1=(4, 0), e2=(0, 4)).given(run_off(declined="e1 e2", award_to="e2"))
    assert places(scene) == {"e1": "1=", "e2": "1="}


@pytest.mark.parametrize(
    ("asked", "code", "field"),
    [
        (run_off("e1 e3"), "run_off_not_a_tie", "order"),
        (run_off("e1"), "run_off_not_a_tie", "order"),
        (run_off("e3"), "run_off_not_a_tie", "order"),
        (run_off(), "run_off_not_a_tie", "order"),
        (run_off("e1 e1"), "order_names_twice", "order[1]"),
        (run_off("e1 e2", declined="e2"), "order_names_twice", "declined[0]"),
        (run_off("e1 e9"), "unknown_entry", "order[1]"),
        (run_off(declined="e1 e2", award_to="e3"), "award_to_outsider", "award_to"),
        (run_off(declined="e1 e2", award_to="e9"), "unknown_entry", "award_to"),
    ],
)
def test_a_run_off_is_between_those_who_share_one_place(
    asked: ask.HoldRunOff, code: str, field: str
) -> None:
    judged(e1=(4, 0), e2=(0, 4), e3=(0, 0)).refuses(asked, code, field)


def test_a_run_off_held_after_the_posting_is_posted_again() -> None:
    scene = judged(e1=(4, 0), e2=(0, 4)).posted().given(run_off("e2 e1"))
    scene.refuses(ask.MakeOfficial(reason="sha256:seen"), "posting_out_of_date", None)
    scene.given(ask.PostResults(), ask.MakeOfficial(reason="sha256:seen"))


# --- cuts ---------------------------------------------------------------------------------------


def cut(size: int, *, with_ties: bool = True) -> ask.MakeCut:
    return ask.MakeCut(size=size, with_ties=with_ties)


def posted(scene: Scene) -> Scene:
    return scene.signed("AB"[: len(scene.state.cards)]).given(ask.PostResults())


@pytest.mark.parametrize(
    ("asked", "qualified", "tied_out"),
    [
        (cut(1), ("e1",), ()),
        (cut(2), ("e1", "e2", "e3"), ()),
        (cut(2, with_ties=False), ("e1",), ("e2", "e3")),
        (cut(3, with_ties=False), ("e1", "e2", "e3"), ()),
        (cut(9), ("e1", "e2", "e3", "e4"), ()),
    ],
)
def test_those_tied_at_the_cut_all_go_on_or_none_of_them(
    asked: ask.MakeCut, qualified: tuple[str, ...], tied_out: tuple[str, ...]
) -> None:
    scene = posted(ridden(e1=6, e2=4, e3=4, e4=0))
    (made,) = scene.when(asked)
    assert made == happened.CutMade(size=asked.size, qualified=qualified, tied_out=tied_out)
    scene.given(asked)


def test_a_cut_lets_somebody_go_on() -> None:
    posted(ridden(e1=6)).refuses(cut(0), "cut_empty", "size")


def test_a_cut_may_be_made_again_with_another_size() -> None:
    scene = posted(ridden(e1=6, e2=0)).given(cut(1), cut(2))
    assert scene.state.cut is not None
    assert scene.state.cut.event.qualified == ("e1", "e2")


def test_a_cut_follows_the_panel() -> None:
    scene = posted(judged(e1=(0, 0), e2=(6, 0), e3=(0, 4))).given(cut(2))
    assert scene.state.cut is not None
    assert scene.state.cut.event.qualified == ("e2", "e3")


def test_separate_results_of_several_judges_give_no_order_to_cut() -> None:
    scene = posted(judged(SMALL, e1=(0, 0), e2=(6, 0)))
    refused = scene.refusal(cut(1))
    assert (refused.code, refused.field) == ("cut_without_result", None)


def test_where_each_card_is_a_result_of_its_own_a_run_off_is_an_order_on_a_card() -> None:
    scene = posted(judged(SMALL, e1=(0, 0), e2=(0, 0)))
    refused = scene.refusal(run_off("e1 e2"))
    assert (refused.code, refused.field) == ("run_off_not_a_tie", "order")
    assert "an order on the card" in refused.message


def test_call_backs_are_counted_where_they_were_taken() -> None:
    scene = Scene(PLACED).planned(4, seats="AB", learners="L")
    for seat, names in (("A", "e1 e3"), ("B", "e3 e4"), ("L", "e2")):
        refs = tuple(map(entry, names.split()))
        scene.given(ask.CallBack(seat=seat, entries=refs))
        scene.given(ask.PlaceCard(seat=seat, order=(entry("e1"),)))
    scene.signed("AB").given(ask.PostResults())
    (one,), (three,) = scene.when(cut(1)), scene.when(cut(2))
    assert one == happened.CutMade(size=1, qualified=("e3",))
    assert three == happened.CutMade(size=2, qualified=("e3", "e1", "e4"))


def test_a_judge_who_called_nobody_back_adds_nothing() -> None:
    scene = Scene(PLACED).planned(2, seats="AB")
    scene.given(ask.CallBack(seat="A", entries=(entry("e2"),)))
    for seat in "AB":
        scene.given(ask.PlaceCard(seat=seat, order=(entry("e1"),)))
    scene.signed("AB").given(ask.PostResults(), cut(1))
    assert scene.state.cut is not None
    assert scene.state.cut.event.qualified == ("e2",)


def test_who_takes_no_place_goes_on_nowhere() -> None:
    scene = ridden(e1=6, e2=0).given(outcome("A", "e1", "disqualified"))
    assert posted(scene).when(cut(2)) == (happened.CutMade(size=2, qualified=("e2",)),)


def test_what_is_cut_is_what_was_posted() -> None:
    scene = posted(ridden(e1=6, e2=0))
    first = scene.state.cards["A"].rides["e1"].marks[1].version
    scene.given(correction("c1", mark("A", "e1", 1, -6), replaces=first))
    refused = scene.refusal(cut(1))
    assert (refused.code, refused.field) == ("posting_out_of_date", None)
    scene.given(ask.PostResults(), cut(1))
    assert scene.state.cut is not None
    assert scene.state.cut.event.qualified == ("e2",)


def test_nothing_is_cut_before_it_is_posted() -> None:
    ridden(e1=6).signed().refuses(cut(1), "wrong_phase", None)


# --- what learners are scored by ----------------------------------------------------------------


def test_cuts_for_learners_are_set_and_move_no_result() -> None:
    scene = ridden(e1=6, e2=0).given(ask.SetContestCuts(cuts=(3, 0)))
    assert scene.log[-1] == happened.ContestCutsSet(cuts=(3, 0))
    changed = scene.state.changed_at
    scene.given(ask.SetContestCuts(cuts=(4,)), by=STEWARD)
    assert scene.state.contest_cuts == (4,)
    assert scene.state.changed_at == changed


@pytest.mark.parametrize(
    ("cuts", "code", "field"), [((), "cuts_missing", "cuts"), ((3, -1), "cut_negative", "cuts[1]")]
)
def test_cuts_for_learners_lie_between_places(cuts: tuple[int, ...], code: str, field: str) -> None:
    ridden(e1=6).refuses(ask.SetContestCuts(cuts=cuts), code, field)


def test_a_mark_that_moves_a_tie_leaves_the_run_off_without_effect() -> None:
    scene = judged(e1=(4, 0), e2=(0, 4)).given(run_off("e2 e1"), mark("A", "e1", 1, 6))
    assert places(scene) == {"e1": "1", "e2": "2"}
