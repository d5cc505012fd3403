"""Who may ask what of a class, and when: the one table, and what holds it.

Every refusal that comes from here names the sentence of the row that refused.
"""

from collections.abc import Mapping
from typing import Literal

import msgspec

from events.envelope import Actor, Command, Role
from events.judged_class import commands as ask
from events.judged_class.state import ClassState, Phase
from events.refusals import Refusal

CardCondition = Literal["open", "signed", "any"]


class Row(msgspec.Struct, frozen=True):
    """These roles may ask it in these phases, if the seat's card is in that condition."""

    roles: frozenset[Role]
    phases: frozenset[Phase]
    card: CardCondition
    says: str


def _row(roles: str, phases: str, says: str, card: CardCondition = "any") -> Row:
    return Row(
        frozenset(roles.split()),  # type: ignore[arg-type]  # spelt out as in the table's columns
        frozenset(phases.split()),  # type: ignore[arg-type]
        card,
        says,
    )


_OFFICE_PLANS = _row("office", "planned", "the office sets a class up until the first ride")
_OFFICE_RUNS = _row(
    "office steward", "planned running", "the office and the steward run the gate until posting"
)
_JUDGE_MARKS = _row(
    "scribe office",
    "planned running",
    "a judge's card is written by its scribe, or by the office from paper, until it is signed",
    "open",
)
_JUDGE_STANDS_BY = _row(
    "scribe office steward",
    "planned running posted reopened",
    "a judge may confirm or withdraw an order until results are official",
)
_MANAGEMENT_COMBINES = _row(
    "office", "planned", "classes are combined only before the first ride in any of them"
)
_JUDGES_LEAVE = _row(
    "office steward",
    "planned running",
    "a judge who cannot go on is replaced, or the seat closed, until the card is signed",
    "open",
)
_PROTESTS = _row(
    "office steward", "running posted official reopened", "protests are taken in once rides began"
)
_RULINGS = _row(
    "steward", "running posted official reopened", "only the steward rules on a protest"
)

AUTHORITY: Mapping[type[Command], tuple[Row, ...]] = {
    ask.ScheduleClass: (_row("office", "unscheduled", "a class is scheduled once"),),
    ask.CancelClass: (
        _row(
            "office steward",
            "planned running",
            "a class is cancelled only before its results are posted",
        ),
    ),
    ask.LiftCancellation: (
        _row("office steward", "cancelled", "only a cancelled class can be held after all"),
    ),
    ask.CombineClass: (_MANAGEMENT_COMBINES,),
    ask.CombineInto: (_MANAGEMENT_COMBINES,),
    ask.RescheduleClass: (
        _row(
            "office",
            "planned running",
            "the office renames and moves a class until results are posted",
        ),
    ),
    ask.ChangePanel: (
        _row(
            "office",
            "planned running",
            "the office chooses how judges are combined until the first ride, and later only where "
            "that does not fit the seats",
        ),
    ),
    ask.UnseatJudge: (
        _row("office", "planned running", "the office seats judges until results are posted"),
    ),
    ask.ReplaceJudge: (_JUDGES_LEAVE,),
    ask.CloseSeat: (_JUDGES_LEAVE,),
    ask.SetPattern: (_OFFICE_PLANS,),
    ask.SeatJudge: (
        _row("office", "planned running", "the office seats judges until results are posted"),
    ),
    ask.AcceptEntry: (
        _row("office", "planned running", "the office takes entries until results are posted"),
    ),
    ask.ScratchEntry: (_OFFICE_RUNS,),
    ask.SetDraw: (_OFFICE_PLANS,),
    ask.RepairDraw: (_OFFICE_RUNS,),
    ask.CallEntry: (_OFFICE_RUNS,),
    ask.RecordMissedGate: (_OFFICE_RUNS,),
    ask.ExcuseEntry: (_OFFICE_RUNS,),
    ask.RecordOutOfOrder: (_OFFICE_RUNS,),
    ask.ReadmitEntry: (
        _row(
            "office steward",
            "planned running posted reopened",
            "an entry is readmitted until results are official, and after that while they are "
            "reopened",
        ),
    ),
    ask.ReinstateEntry: (_OFFICE_RUNS,),
    ask.SetCarriedTotal: (
        _row(
            "office steward",
            "planned running posted reopened",
            "totals are taken over from the round before until results are official",
        ),
    ),
    ask.GrantReride: (_OFFICE_RUNS,),
    ask.ChangeHorse: (_OFFICE_RUNS,),
    ask.HoldRunOff: (
        _row(
            "office steward",
            "running posted reopened",
            "a run-off is recorded until results are official",
        ),
    ),
    ask.MakeCut: (
        _row(
            "office steward",
            "posted official",
            "a cut is made from results that have been posted",
        ),
    ),
    ask.SetContestCuts: (
        _row(
            "office steward",
            "planned running posted official reopened",
            "an official sets the cuts that learners are scored by",
        ),
    ),
    ask.GiveTime: (_JUDGE_MARKS,),
    ask.CallBack: (_JUDGE_MARKS,),
    ask.PlaceCard: (
        _JUDGE_MARKS,
        _row(
            "steward",
            "running posted reopened",
            "on a signed card the steward records the judge's new placing until it is official",
            "signed",
        ),
    ),
    ask.GiveMark: (_JUDGE_MARKS,),
    ask.CallPenalty: (_JUDGE_MARKS,),
    ask.WithdrawMark: (_JUDGE_MARKS,),
    ask.WithdrawPenalty: (_JUDGE_MARKS,),
    ask.WithdrawRiderMark: (_JUDGE_MARKS,),
    ask.WithdrawTime: (_JUDGE_MARKS,),
    ask.WithdrawObservation: (_JUDGE_MARKS,),
    ask.GiveRiderMark: (_JUDGE_MARKS,),
    ask.CallOutcome: (_JUDGE_MARKS,),
    ask.LiftOutcome: (_JUDGE_MARKS,),
    ask.ObserveFault: (_JUDGE_MARKS,),
    ask.SignCard: (_JUDGE_MARKS,),
    ask.ReopenCard: (
        _row(
            "office steward",
            "running",
            "a signed card goes back to its judge only before results are posted",
        ),
    ),
    ask.SetOrder: (
        _JUDGE_MARKS,
        _row(
            "steward",
            "running posted reopened",
            "on a signed card the steward records the judge's new order until it is official",
            "signed",
        ),
    ),
    ask.ConfirmOrder: (_JUDGE_STANDS_BY,),
    ask.WithdrawOrder: (_JUDGE_STANDS_BY,),
    ask.MakeCorrection: (
        _row(
            "office steward",
            "running posted reopened",
            "a signed card changes only by a correction of the office or the steward; official "
            "results are reopened first",
            "signed",
        ),
    ),
    ask.PostResults: (
        _row("office", "running posted reopened", "the office posts results once cards are signed"),
    ),
    ask.MakeOfficial: (
        _row("office steward", "posted", "posted results become official, and nothing else does"),
    ),
    ask.ReopenResults: (_row("office steward", "official", "only official results are reopened"),),
    ask.FileProtest: (_PROTESTS,),
    ask.WithdrawProtest: (_PROTESTS,),
    ask.RuleProtest: (_RULINGS,),
    ask.AwardPrizeMoney: (
        _row("office", "official", "the office awards prize money on official results"),
    ),
    ask.WithdrawPrizeMoney: (
        _row(
            "office",
            "running posted official reopened",
            "the office takes back prize money that it awarded",
        ),
    ),
}


def check_hand(command: Command, actor: Actor) -> None:
    """Refuse a command that this key's role never may give, or gives for another seat."""
    rows = AUTHORITY[type(command)]
    if not any(actor.role in row.roles for row in rows):
        raise Refusal(
            "role_not_allowed",
            f"A key with the role {actor.role} may not do this: {rows[0].says}.",
            rule=rows[0].says,
            role=actor.role,
        )
    seat = getattr(command, "seat", None)
    if actor.role == "scribe" and actor.seat is None:
        raise Refusal(
            "scribe_without_seat",
            "A scribe's key is bound to one seat, and this one is bound to none.",
            rule="a scribe's key is bound to one seat",
        )
    if actor.seat is not None and seat != actor.seat:
        raise Refusal(
            "other_seat",
            f"This key writes for seat {actor.seat} only.",
            field="seat",
            rule="a scribe's key is bound to one seat",
            seat=seat,
            key_seat=actor.seat,
        )


def check_moment(state: ClassState, command: Command, actor: Actor) -> None:
    """Refuse a command whose time has not come, or is over, in the state of the class."""
    rows = [row for row in AUTHORITY[type(command)] if actor.role in row.roles]
    timely = [row for row in rows if state.phase in row.phases]
    if not timely:
        raise Refusal(
            "wrong_phase",
            f"The class is {state.phase}: {rows[0].says}.",
            rule=rows[0].says,
            phase=state.phase,
        )
    card = state.cards.get(getattr(command, "seat", None) or "")
    if card is None:  # no seat is asked about, or one that there is not: not for this table to say
        return
    if card.kind == "closed" and not isinstance(command, ask.CloseSeat | ask.FileProtest):
        raise Refusal(
            "seat_closed",
            f"Seat {card.seat} was closed: its card is kept as it was and counts for nothing.",
            field="seat",
            rule="the card of a closed seat is kept as it was",
            seat=card.seat,
        )
    condition = "open" if card.signed is None else "signed"
    if not any(row.card in {"any", condition} for row in timely):
        raise Refusal(
            f"card_{'is' if condition == 'signed' else 'not'}_signed",
            f"The card is {'signed' if condition == 'signed' else 'not signed'}: {timely[0].says}.",
            field="seat",
            rule=timely[0].says,
            seat=card.seat,
        )
