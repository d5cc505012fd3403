"""The one door for commands to a class."""

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import Any

import msgspec

from events.envelope import Actor, Command, Event
from events.judged_class import commands as ask
from events.judged_class import decide_cards as cards
from events.judged_class import decide_changes as changes
from events.judged_class import decide_corrections as corrections
from events.judged_class import decide_draw as draw
from events.judged_class import decide_gate as gate
from events.judged_class import decide_orders as orders
from events.judged_class import decide_panel as panels
from events.judged_class import decide_placing as placings
from events.judged_class import decide_prizes as prizes
from events.judged_class import decide_protests as protests
from events.judged_class import decide_results as results
from events.judged_class import decide_rounds as rounds
from events.judged_class import decide_seats as seats
from events.judged_class import decide_setup as setup
from events.judged_class import decide_signing as signing
from events.judged_class import decide_taking_back as taking_back
from events.judged_class import decide_undoing as undoing
from events.judged_class import decide_unscored as unscored
from events.judged_class.authority import check_hand, check_moment
from events.judged_class.state import ClassState
from events.refusals import Refusal
from events.rulebook.model import RuleBook


class Circumstances(msgspec.Struct, frozen=True):
    """What a decision is taken under, besides the state of the class."""

    rulebook: RuleBook
    now: datetime
    actor: Actor


def decide(
    state: ClassState,
    command: Command,
    *,
    rulebook: RuleBook,
    now: datetime,
    actor: Actor,
) -> tuple[Event, ...]:
    """The events that the command makes happen; ``()`` when it is so already.

    Raises ``Refusal`` when the key may not ask it, the class is not in a state for it, or it does
    not fit the pattern, the entries or the rule book.
    """
    check_hand(command, actor)
    try:
        proposed = HANDLERS[type(command)](state, command, Circumstances(rulebook, now, actor))
    except Refusal:
        check_moment(state, command, actor)  # a wrong moment says more than what else is wrong
        raise
    if proposed:
        check_moment(state, command, actor)
    return proposed


Handler = Callable[[ClassState, Any, Circumstances], tuple[Event, ...]]

HANDLERS: Mapping[type[Command], Handler] = {
    ask.ScheduleClass: lambda state, command, _: setup.schedule(state, command),
    ask.SetPattern: lambda state, command, _: setup.set_pattern(state, command),
    ask.CancelClass: lambda state, command, _: changes.cancel(state, command),
    ask.LiftCancellation: lambda state, command, _: changes.lift_cancellation(state, command),
    ask.CombineClass: lambda state, command, _: changes.combine(state, command),
    ask.CombineInto: lambda state, command, _: changes.combine_into(state, command),
    ask.RescheduleClass: lambda state, command, _: changes.reschedule(state, command),
    ask.ChangePanel: lambda state, command, on: panels.change_panel(state, command, on.rulebook),
    ask.SeatJudge: lambda state, command, on: seats.seat_judge(state, command, on.rulebook),
    ask.UnseatJudge: lambda state, command, _: seats.unseat(state, command),
    ask.ReplaceJudge: lambda state, command, _: seats.replace_judge(state, command),
    ask.CloseSeat: lambda state, command, on: seats.close_seat(state, command, on.rulebook),
    ask.AcceptEntry: lambda state, command, _: setup.accept_entry(state, command),
    ask.ScratchEntry: lambda state, command, _: setup.scratch(state, command),
    ask.SetDraw: lambda state, command, _: draw.set_draw(state, command),
    ask.RepairDraw: lambda state, command, _: draw.repair_draw(state, command),
    ask.CallEntry: lambda state, command, on: gate.call_entry(state, command, on.rulebook),
    ask.RecordMissedGate: lambda state, command, on: gate.miss_gate(state, command, on.rulebook),
    ask.ExcuseEntry: lambda state, command, on: gate.excuse(state, command, on.rulebook),
    ask.RecordOutOfOrder: lambda state, command, _: gate.out_of_order(state, command),
    ask.ReadmitEntry: lambda state, command, on: undoing.readmit(state, command, on.actor),
    ask.ReinstateEntry: lambda state, command, _: undoing.reinstate(state, command),
    ask.GrantReride: lambda state, command, _: gate.grant_reride(state, command),
    ask.ChangeHorse: lambda state, command, _: gate.change_horse(state, command),
    ask.SetCarriedTotal: lambda state, command, _: rounds.set_carried(state, command),
    ask.HoldRunOff: lambda state, command, on: rounds.hold_run_off(state, command, on.rulebook),
    ask.SetContestCuts: lambda state, command, _: rounds.set_contest_cuts(state, command),
    ask.MakeCut: lambda state, command, on: rounds.make_cut(state, command, on.rulebook),
    ask.GiveTime: lambda state, command, on: cards.give_fact(state, command, on.rulebook),
    ask.PlaceCard: lambda state, command, on: placings.place_card(
        state, command, on.rulebook, on.actor
    ),
    ask.CallBack: lambda state, command, on: unscored.call_back(state, command, on.rulebook),
    ask.GiveMark: lambda state, command, on: cards.give_fact(state, command, on.rulebook),
    ask.CallPenalty: lambda state, command, on: cards.give_fact(state, command, on.rulebook),
    ask.WithdrawPenalty: lambda state, command, _: taking_back.withdraw_penalty(state, command),
    ask.GiveRiderMark: lambda state, command, on: cards.give_fact(state, command, on.rulebook),
    ask.CallOutcome: lambda state, command, on: cards.give_fact(state, command, on.rulebook),
    ask.LiftOutcome: lambda state, command, _: taking_back.lift_outcome(state, command),
    ask.WithdrawMark: lambda state, command, _: taking_back.withdraw_mark(state, command),
    ask.WithdrawRiderMark: lambda state, command, _: taking_back.withdraw_rider_mark(
        state, command
    ),
    ask.WithdrawTime: lambda state, command, _: taking_back.withdraw_time(state, command),
    ask.WithdrawObservation: lambda state, command, _: taking_back.withdraw_observation(
        state, command
    ),
    ask.ObserveFault: lambda state, command, on: cards.give_fact(state, command, on.rulebook),
    ask.SignCard: lambda state, command, on: signing.sign(state, command, on.rulebook),
    ask.ReopenCard: lambda state, command, _: signing.reopen(state, command),
    ask.SetOrder: lambda state, command, on: orders.set_order(
        state, command, on.rulebook, on.actor
    ),
    ask.ConfirmOrder: lambda state, command, on: orders.confirm_order(state, command, on.rulebook),
    ask.WithdrawOrder: lambda state, command, on: orders.withdraw_order(
        state, command, on.rulebook
    ),
    ask.MakeCorrection: lambda state, command, on: corrections.correct(
        state, command, on.rulebook, on.actor
    ),
    ask.PostResults: lambda state, _, on: results.post(state, on.rulebook, on.now),
    ask.MakeOfficial: lambda state, command, on: results.make_official(
        state, command, on.rulebook, on.now, on.actor
    ),
    ask.ReopenResults: lambda state, command, on: results.reopen_results(state, command, on.actor),
    ask.FileProtest: lambda state, command, on: protests.file_protest(
        state, command, on.rulebook, on.now
    ),
    ask.WithdrawProtest: lambda state, command, _: protests.withdraw_protest(state, command),
    ask.RuleProtest: lambda state, command, on: protests.rule_protest(state, command, on.rulebook),
    ask.AwardPrizeMoney: lambda state, command, on: prizes.award(state, command, on.rulebook),
    ask.WithdrawPrizeMoney: lambda state, command, _: prizes.withdraw(state, command),
}
