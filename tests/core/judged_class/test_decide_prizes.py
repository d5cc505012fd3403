"""Prize money: awarded on official results, anew for a reason, and never in their way."""

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.judged_class.decide_prizes import paid_out
from events.judged_class.paid_places import paid_places
from events.projections.prize_money import prize_money
from events.refusals import Refusal
from events.scoring.exact import exact
from events.scoring.payout import OddCents, Unfilled
from tests.core.books import SUMMED
from tests.core.judged_class.scene import SCHEDULE, Scene, accept, correction, mark, observe, ridden

SPLIT = ask.AwardPrizeMoney(purse=100_001, percentages=("50", "30", "20"))
WITHDRAW = ask.WithdrawPrizeMoney(reason="sha256:wrong-class")
REOPEN = ask.ReopenResults(authority="office_error", reason="sha256:sums")
WHY = "sha256:protest"


def changed(**changes: object) -> ask.AwardPrizeMoney:
    return msgspec.structs.replace(SPLIT, **changes)


def official() -> Scene:
    """Official results: e1 first, e2 and e3 sharing second place, e4 last."""
    return ridden(e1=4, e2=2, e3=2, e4=0).official()


def awarded(scene: Scene, command: ask.AwardPrizeMoney = SPLIT) -> happened.PrizeMoneyAwarded:
    [event] = scene.when(command)
    assert isinstance(event, happened.PrizeMoneyAwarded)
    return event


def standing(scene: Scene) -> list[str]:
    return [each.standing for each in prize_money(scene.state, scene.book)]


def test_a_purse_is_awarded_with_every_prize_and_what_is_left_of_it() -> None:
    scene = official()
    event = awarded(scene)
    assert [(each.entry, each.place, each.percent, each.cents) for each in event.prizes] == [
        ("e1", 1, "50", 50_000),
        ("e2", 2, "25", 25_000),
        ("e3", 2, "25", 25_000),
    ]
    assert (event.unscheduled, event.unfilled, event.odd_cents) == (0, 0, 1)
    assert event.results == scene.state.official_at
    left = event.unscheduled + event.unfilled + event.odd_cents
    assert sum(each.cents for each in event.prizes) + left == event.purse == 100_001


def test_a_schedule_that_is_not_all_of_the_purse_is_recorded_with_what_it_leaves() -> None:
    # Sport of Kings barrel race: 43, 33 and 23 come to 99 per cent.
    event = awarded(official(), changed(purse=100_000, percentages=("43", "33", "23")))
    assert (event.unscheduled, sum(each.cents for each in event.prizes)) == (1_000, 99_000)
    few = awarded(
        ridden(e1=2).official(),
        changed(purse=1_000, percentages=("60", "40"), odd_cents="to_first"),
    )
    assert (few.unfilled, few.schedule.odd_cents) == (400, "to_first")


@pytest.mark.parametrize(
    ("changes", "code", "field"),
    [
        ({"purse": 0}, "purse_empty", "purse"),
        ({"percentages": ()}, "schedule_unfit", "percentages"),
        ({"percentages": ("60", "50")}, "schedule_unfit", "percentages"),
        ({"percentages": ("-1",)}, "schedule_unfit", "percentages"),
        ({"percentages": ("half",)}, "schedule_unfit", "percentages"),
        ({"division": "youth"}, "unknown_division", "division"),
        ({"seat": "C"}, "result_not_named", "seat"),
    ],
)
def test_a_purse_that_cannot_be_awarded_is_refused(
    changes: dict[str, object], code: str, field: str
) -> None:
    official().refuses(changed(**changes), code, field)


def test_prize_money_is_awarded_on_official_results_alone() -> None:
    scene = ridden(e1=4, e2=2).posted()
    scene.refuses(SPLIT, "wrong_phase", None)
    scene.given(ask.MakeOfficial(reason="sha256:seen"), SPLIT, REOPEN)
    scene.refuses(changed(purse=5, reason=WHY), "wrong_phase", None)


def test_where_judges_placed_separately_one_of_them_is_named() -> None:
    scene = (
        Scene().planned(2, seats="AB").marked({"e1": 4, "e2": 0}).marked({"e1": 0, "e2": 4}, "B")
    )
    scene.official()
    scene.refuses(SPLIT, "result_not_named", "seat")
    assert awarded(scene, changed(seat="B")).prizes[0].entry == "e2"
    scene.given(changed(seat="A"), changed(seat="B"))
    assert len(prize_money(scene.state, scene.book)) == 2


def test_a_panel_is_paid_by_the_place_of_all_judges_together() -> None:
    scene = Scene(SUMMED).planned(2, seats="AB").marked({"e1": 4, "e2": 0})
    scene.marked({"e1": 0, "e2": 5}, "B").official()
    assert awarded(scene).prizes[0].entry == "e2"


def test_a_division_is_paid_by_the_places_among_its_entries() -> None:
    scene = Scene().planned(1)
    scene.given(accept_youth(2), accept_youth(3))
    scene.given(ask.SetDraw(order=("e1", "e2", "e3")))
    scene.marked({"e1": 5, "e2": 1, "e3": 2}).official()
    event = awarded(scene, changed(division="youth", percentages=("60", "40")))
    assert [(each.entry, each.place) for each in event.prizes] == [("e3", 1), ("e2", 2)]


def accept_youth(number: int) -> ask.AcceptEntry:
    return ask.AcceptEntry(
        entry=f"e{number}", back_number=900 + number, exhibitor="p", divisions=("youth",)
    )


def test_what_was_awarded_is_awarded_anew_for_a_reason_only() -> None:
    scene = official().given(SPLIT)
    assert scene.when(changed(reason=WHY)) == ()
    scene.refuses(changed(purse=200), "reason_missing", "reason")
    scene.given(changed(purse=200, reason=WHY))
    [money] = prize_money(scene.state, scene.book)
    assert (money.event.purse, money.standing, money.paid) == (200, "stands", 200)


def test_a_purse_is_taken_back_for_a_reason() -> None:
    scene = official()
    assert scene.when(WITHDRAW) == ()
    scene.given(SPLIT, WITHDRAW)
    assert prize_money(scene.state, scene.book) == ()
    scene.given(SPLIT)


def test_a_correction_that_moves_the_places_makes_prize_money_stale_but_changes_none() -> None:
    scene = official().given(SPLIT)
    [before] = prize_money(scene.state, scene.book)
    assert before.standing == "stands"
    scene.given(REOPEN)
    assert standing(scene) == ["open"]
    scene.given(corrected(scene, "e2", 6))
    scene.official()
    [after] = prize_money(scene.state, scene.book)
    assert (after.standing, after.event) == ("stale", before.event)
    scene.refuses(SPLIT, "reason_missing", "reason")
    scene.given(changed(reason=WHY))
    [anew] = prize_money(scene.state, scene.book)
    assert (anew.standing, anew.event.prizes[0].entry) == ("stands", "e2")


def test_a_correction_that_moves_no_paid_place_leaves_prize_money_standing() -> None:
    scene = official().given(SPLIT, REOPEN)
    scene.given(corrected(scene, "e1", 5))
    scene.official()
    assert standing(scene) == ["stands"]
    assert scene.when(SPLIT) == ()


def test_prize_money_for_a_placing_that_is_gone_is_stale() -> None:
    scene = Scene().planned(1)
    scene.given(accept_youth(2), ask.SetDraw(order=("e1", "e2")))
    scene.marked({"e1": 5, "e2": 1}).official().given(changed(division="youth"))
    without = msgspec.structs.replace(scene.state.entries["e2"], divisions=())
    state = msgspec.structs.replace(scene.state, entries={**scene.state.entries, "e2": without})
    [money] = prize_money(state, scene.book)
    assert money.standing == "stale"


def corrected(scene: Scene, name: str, points: int) -> ask.MakeCorrection:
    known = scene.state.cards["A"].rides[name].marks[1]
    fact = mark("A", name, 1, points)
    return correction("c1", fact, replaces=known.version, authority="office_error")


def test_official_results_wait_for_no_prize_money() -> None:
    scene = official().given(SPLIT, REOPEN)
    scene.given(correction("c1", observe("A", "e1", "o1"), authority="office_error"))
    scene.given(ask.PostResults(), ask.MakeOfficial(reason="sha256:seen"))
    assert standing(scene) == ["stands"]


@given(
    st.lists(st.integers(0, 2), min_size=1, max_size=5),
    st.lists(st.sampled_from(["50", "100/3", "12.5", "0"]), min_size=1, max_size=3).filter(
        lambda parts: sum(exact(part) for part in parts) <= 100
    ),
    st.integers(1, 999),
    st.sampled_from(["kept", "to_first"]),
    st.sampled_from(["kept", "shared_evenly"]),
    st.data(),
)
def test_money_in_is_money_out_and_the_rest_whoever_of_equal_entries_was_entered_first(
    marks: list[int],
    percentages: list[str],
    purse: int,
    odd_cents: OddCents,
    unfilled: Unfilled,
    data: st.DataObject,
) -> None:
    command = ask.AwardPrizeMoney(
        purse=purse, percentages=tuple(percentages), odd_cents=odd_cents, unfilled=unfilled
    )
    totals = {f"e{number}": mark for number, mark in enumerate(marks, 1)}
    order = data.draw(st.permutations(sorted(totals)))
    event = awarded(entered(totals, sorted(totals)), command)
    paid = sum(each.cents for each in event.prizes)
    assert paid + event.unscheduled + event.unfilled + event.odd_cents == purse
    again = awarded(entered(totals, order), command)
    assert again.prizes == event.prizes
    equals = {(totals[each.entry], each.cents) for each in event.prizes}
    assert len(equals) == len({total for total, _ in equals})


def entered(totals: dict[str, int], order: list[str]) -> Scene:
    """Official results of entries that were taken, drawn and ridden in that order."""
    scene = Scene().given(SCHEDULE, ask.SetPattern(maneuvers=("Walk", "Jog")))
    scene.given(ask.SeatJudge(seat="A", judge="judge-A"))
    scene.given(*(accept(int(name[1:])) for name in order))
    scene.given(ask.SetDraw(order=tuple(order)))
    return scene.marked({name: totals[name] for name in order}).official()


def test_a_panel_that_has_not_finished_has_no_places_to_pay() -> None:
    scene = Scene(SUMMED).planned(2, seats="AB").marked({"e1": 4, "e2": 0})
    with pytest.raises(Refusal, match="Seat B has not finished") as caught:
        paid_places(scene.state, scene.book)
    assert caught.value.code == "panel_not_finished"


def test_a_place_that_is_held_twice_is_not_paid() -> None:
    by = happened.PrizeSchedule(percentages=("100",))
    with pytest.raises(Refusal) as caught:
        paid_out(100, by, {"a": 1, "b": 1, "c": 2})
    assert caught.value.code == "places_unsound"
