"""Decisions about who sits in which seat of the panel, and what happens when a judge leaves."""

import re

from events.envelope import Event
from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.judged_class.decide_panel import refuse_unfit, refuse_unweighted
from events.judged_class.references import card_of
from events.judged_class.state import ClassState
from events.refusals import Refusal
from events.rulebook.model import RuleBook

_SEAT = re.compile(r"[A-Z][A-Z0-9]{0,3}")


def seat_judge(state: ClassState, command: ask.SeatJudge, rulebook: RuleBook) -> tuple[Event, ...]:
    """A seat is taken by one person, who sits nowhere else, before it has judged."""
    if not _SEAT.fullmatch(command.seat):
        raise Refusal(
            "seat_misnamed",
            "A seat is named by a capital letter, with up to three more capitals or digits.",
            field="seat",
            seat=command.seat,
        )
    event = happened.JudgeSeated(seat=command.seat, judge=command.judge, kind=command.kind)
    card = state.cards.get(command.seat)
    if card is not None and (card.judge, card.kind) == (command.judge, command.kind):
        return ()
    if card is not None and card.kind == "closed":
        raise Refusal(
            "seat_closed",
            f"Seat {command.seat} was closed; seat the judge under another letter.",
            field="seat",
            seat=command.seat,
        )
    if card is not None and card.touched:
        raise Refusal(
            "seat_has_judged",
            f"Seat {command.seat} has judged already; replace its judge instead.",
            field="seat",
            seat=command.seat,
        )
    _refuse_elsewhere(state, command.seat, command.judge)
    if command.kind == "judge":
        refuse_unweighted(state, command.seat, rulebook)
    return (event,)


def unseat(state: ClassState, command: ask.UnseatJudge) -> tuple[Event, ...]:
    """A seat is given up while nothing stands on its card; there need not be such a seat."""
    card = state.cards.get(command.seat)
    if card is None:
        return ()
    if card.touched:
        raise Refusal(
            "seat_has_judged",
            f"Seat {command.seat} has judged already; replace its judge, or close the seat.",
            field="seat",
            seat=command.seat,
        )
    return (happened.JudgeUnseated(seat=command.seat, reason=command.reason),)


def replace_judge(state: ClassState, command: ask.ReplaceJudge) -> tuple[Event, ...]:
    """Another judge fills the card from here on; who judged what before is kept."""
    card = card_of(state, command.seat)
    if card.judge == command.judge:
        return ()
    _refuse_elsewhere(state, command.seat, command.judge)
    event = happened.JudgeReplaced(seat=command.seat, judge=command.judge, reason=command.reason)
    return (event,)


def close_seat(state: ClassState, command: ask.CloseSeat, rulebook: RuleBook) -> tuple[Event, ...]:
    """The panel goes on without a judge if somebody is left on it and its settings still fit."""
    card = card_of(state, command.seat)
    if card.kind == "closed":
        return ()
    if card.kind == "learner":
        raise Refusal(
            "seat_of_a_learner",
            f"Seat {command.seat} is a learner's and counts for nothing as it is.",
            field="seat",
            seat=command.seat,
        )
    left = [c.seat for c in state.cards.values() if c.kind == "judge" and c.seat != card.seat]
    if not left:
        raise Refusal(
            "last_judge",
            f"Seat {command.seat} is the only one that judges; replace its judge instead.",
            field="seat",
            rule="a class is judged by somebody",
            seat=command.seat,
        )
    refuse_unfit(state, command.panel, left, rulebook, field="panel")
    return (happened.SeatClosed(seat=command.seat, reason=command.reason, panel=command.panel),)


def _refuse_elsewhere(state: ClassState, seat: str, judge: str) -> None:
    for other in state.cards.values():
        if other.judge == judge and other.seat != seat and other.kind != "closed":
            raise Refusal(
                "judge_seated_elsewhere",
                f"That judge sits in seat {other.seat}.",
                field="judge",
                seat=other.seat,
            )
