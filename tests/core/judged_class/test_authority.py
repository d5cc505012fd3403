"""Who may ask what, when: the table written down a second time, and each of its answers."""

from itertools import product
from typing import get_args

import pytest

from events.envelope import Actor, Command, Role
from events.judged_class import commands as ask
from events.judged_class.authority import AUTHORITY, check_hand, check_moment
from events.judged_class.state import Card, ClassState, Phase
from events.refusals import Refusal
from tests.core.judged_class.scene import (
    OFFICE,
    SCHEDULE,
    STEWARD,
    Scene,
    accept,
    check_readable,
    correction,
    entry,
    mark,
    observe,
    order,
    outcome,
    penalty,
    rider,
    scribe,
)

E1 = entry("e1")
SETS_UP = "office: planned"
RUNS_THE_GATE = "office steward: planned running"
WRITES_A_CARD = "scribe office: planned running, open"
STANDS_BY = "scribe office steward: planned running posted reopened"
UNTIL_POSTED = "office: planned running"
ONCE_RIDES_BEGAN = "office steward: running posted official reopened"
THE_STEWARD_LATER = "; steward: running posted reopened, signed"

TABLE: list[tuple[Command, str]] = [
    (SCHEDULE, "office: unscheduled"),
    (ask.CancelClass(reason="x"), "office steward: planned running"),
    (ask.LiftCancellation(reason="x"), "office steward: cancelled"),
    (
        ask.CombineClass(other="c2", division="Amateur", own_division="Open", reason="x"),
        SETS_UP,
    ),
    (ask.CombineInto(into="c2", reason="x"), SETS_UP),
    (ask.RescheduleClass(name="Another", reason="x"), UNTIL_POSTED),
    (ask.ChangePanel(reason="x"), UNTIL_POSTED),
    (ask.UnseatJudge(seat="A", reason="x"), UNTIL_POSTED),
    (
        ask.ReplaceJudge(seat="A", judge="j2", reason="x"),
        "office steward: planned running, open",
    ),
    (ask.CloseSeat(seat="A", reason="x"), "office steward: planned running, open"),
    (ask.SetPattern(maneuvers=("Walk",)), SETS_UP),
    (ask.SetDraw(order=("e1",)), SETS_UP),
    (ask.SeatJudge(seat="A", judge="j"), UNTIL_POSTED),
    (accept(1), UNTIL_POSTED),
    (ask.ScratchEntry(ref=E1), RUNS_THE_GATE),
    (ask.RepairDraw(order=("e1",), reason="x"), RUNS_THE_GATE),
    (ask.CallEntry(ref=E1, call=1), RUNS_THE_GATE),
    (ask.RecordMissedGate(ref=E1), RUNS_THE_GATE),
    (ask.ExcuseEntry(ref=E1), RUNS_THE_GATE),
    (ask.RecordOutOfOrder(ref=E1), RUNS_THE_GATE),
    (ask.GrantReride(ref=E1, reason="x"), RUNS_THE_GATE),
    (
        ask.ReadmitEntry(ref=E1, reason="x"),
        "office steward: planned running posted reopened",
    ),
    (ask.ReinstateEntry(ref=E1, reason="x"), RUNS_THE_GATE),
    (
        ask.SetCarriedTotal(ref=E1, carried=140),
        "office steward: planned running posted reopened",
    ),
    (ask.ChangeHorse(ref=E1, horse="h2"), RUNS_THE_GATE),
    (mark("A", "e1", 1, 0), WRITES_A_CARD),
    (penalty("A", "e1", "p1", code="tick"), WRITES_A_CARD),
    (ask.WithdrawPenalty(seat="A", ref=E1, call="p1"), WRITES_A_CARD),
    (ask.WithdrawMark(seat="A", ref=E1, maneuver=1), WRITES_A_CARD),
    (ask.WithdrawRiderMark(seat="A", ref=E1), WRITES_A_CARD),
    (ask.WithdrawTime(seat="A", ref=E1), WRITES_A_CARD),
    (ask.WithdrawObservation(seat="A", ref=E1, observation="o1"), WRITES_A_CARD),
    (rider("A", "e1", 0), WRITES_A_CARD),
    (outcome("A", "e1", "zero"), WRITES_A_CARD),
    (ask.LiftOutcome(seat="A", ref=E1), WRITES_A_CARD),
    (observe("A", "e1", "o1"), WRITES_A_CARD),
    (ask.GiveTime(seat="A", ref=E1, milliseconds=1), WRITES_A_CARD),
    (ask.CallBack(seat="A", entries=(E1,)), WRITES_A_CARD),
    (ask.SignCard(seat="A"), WRITES_A_CARD),
    (ask.ReopenCard(seat="A", reason="x"), "office steward: running"),
    (order("A", "r1", "e1 e2"), WRITES_A_CARD + THE_STEWARD_LATER),
    (ask.PlaceCard(seat="A", order=(E1,)), WRITES_A_CARD + THE_STEWARD_LATER),
    (ask.ConfirmOrder(seat="A", order_id="r1"), STANDS_BY),
    (ask.WithdrawOrder(seat="A", order_id="r1"), STANDS_BY),
    (correction("c1", replaces=1), "office steward: running posted reopened, signed"),
    (ask.PostResults(), "office: running posted reopened"),
    (ask.MakeOfficial(reason="sha256:seen"), "office steward: posted"),
    (ask.ReopenResults(authority="ruling", reason="x"), "office steward: official"),
    (ask.HoldRunOff(), "office steward: running posted reopened"),
    (ask.MakeCut(size=1), "office steward: posted official"),
    (
        ask.SetContestCuts(cuts=(1,)),
        "office steward: planned running posted official reopened",
    ),
    (
        ask.FileProtest(protest="t1", filed_by="p1", ground="sums", statement="x", seat="A"),
        ONCE_RIDES_BEGAN,
    ),
    (ask.WithdrawProtest(protest="t1"), ONCE_RIDES_BEGAN),
    (
        ask.RuleProtest(protest="t1", verdict="denied", reason="x"),
        "steward: running posted official reopened",
    ),
    (ask.AwardPrizeMoney(purse=100, percentages=("100",)), "office: official"),
    (ask.WithdrawPrizeMoney(reason="x"), "office: running posted official reopened"),
]
ROLES: tuple[Role, ...] = get_args(Role)
PHASES: tuple[Phase, ...] = get_args(Phase)


def expected(row: str, role: Role, phase: Phase, condition: str) -> str | None:
    """The code that the table, as it is written here, refuses with; ``None`` if it does not."""
    allowed = [part.split(": ") for part in row.split("; ")]
    mine = [rest.split(", ") for roles, rest in allowed if role in roles.split()]
    if not mine:
        return "role_not_allowed"
    timely = [(phases, *card) for phases, *card in mine if phase in phases.split()]
    if not timely:
        return "wrong_phase"
    if any(not card or card == [condition] for _, *card in timely):
        return None
    return "card_is_signed" if condition == "signed" else "card_not_signed"


def refusal(command: Command, actor: Actor, phase: Phase, condition: str) -> Refusal | None:
    card = Card(
        seat="A", judge="j", kind="judge", version=1, signed=2 if condition == "signed" else None
    )
    try:
        check_hand(command, actor)
        check_moment(ClassState(phase=phase, cards={"A": card}), command, actor)
    except Refusal as refused:
        return refused
    return None


def answer(command: Command, actor: Actor, phase: Phase, condition: str) -> str | None:
    refused = refusal(command, actor, phase, condition)
    if refused is None:
        return None
    check_readable(refused, command)
    assert refused.rule in {row.says for row in AUTHORITY[type(command)]}
    assert refused.rule in refused.message
    conditions = {"card_is_signed": "is signed:", "card_not_signed": "is not signed:"}
    assert conditions.get(refused.code, "") in refused.message
    return refused.code


@pytest.mark.parametrize(
    ("command", "row"), TABLE, ids=[type(command).__name__ for command, _ in TABLE]
)
def test_the_table_answers_each_role_in_each_phase_for_each_condition_of_the_card(
    command: Command, row: str
) -> None:
    for role, phase, condition in product(ROLES, PHASES, ("open", "signed")):
        actor = Actor(key="k", role=role, seat="A" if role == "scribe" else None)
        if getattr(command, "seat", None) is None and role == "scribe":
            actor = Actor(key="k", role=role)
        found = answer(command, actor, phase, condition)
        assert found == expected(row, role, phase, condition), (role, phase, condition)


def test_the_table_here_has_a_row_for_every_command() -> None:
    assert {type(command) for command, _ in TABLE} == set(AUTHORITY)
    assert len(TABLE) == len(AUTHORITY)


@pytest.mark.parametrize("asked", ["federation", "public", "system"])
def test_readers_ask_nothing_of_a_class(asked: Role) -> None:
    for command, _ in TABLE:
        assert answer(command, Actor(key="k", role=asked), "running", "open") == "role_not_allowed"


def test_a_key_that_is_bound_to_a_seat_writes_for_no_other_and_for_none() -> None:
    scene = Scene().planned(seats="AB")
    refused = scene.refusal(mark("B", "e1", 1, 0), scribe("A"))
    assert (refused.code, refused.field) == ("other_seat", "seat")
    assert (refused.facts["seat"], refused.facts["key_seat"]) == ("B", "A")
    office = Actor(key="k", role="office", seat="A")
    with pytest.raises(Refusal) as caught:
        scene.when(ask.PostResults(), office)
    assert caught.value.code == "other_seat"
    scene.given(mark("A", "e1", 1, 0), by=office)


def test_a_scribes_key_that_is_bound_to_no_seat_writes_nowhere() -> None:
    refused = Scene().planned().refusal(mark("A", "e1", 1, 0), Actor(key="k", role="scribe"))
    assert (refused.code, refused.field) == ("scribe_without_seat", None)


def test_a_seat_that_there_is_not_is_for_the_command_itself_to_refuse() -> None:
    Scene().planned().refuses(correction("c1", replaces=1, of=("Z", "e1")), "wrong_phase", None)
    scene = Scene().planned().given(mark("A", "e1", 1, 0))
    scene.refuses(correction("c1", replaces=1, of=("Z", "e1")), "unknown_seat", "seat", by=OFFICE)
    scene.refuses(order("Z", "r1", "e1 e2"), "unknown_seat", "seat", by=STEWARD)
