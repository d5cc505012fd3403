"""What a happening of the demo asks of a class, in the words of the core."""

from events.envelope import Command
from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.judged_class.commands import EntryRef
from events.judged_class.panel import panel_result
from events.judged_class.state import ClassState, Known
from events.rulebook.model import RuleBook
from service.demo import happenings as then
from service.demo.happenings import Happening
from service.demo.scenario import entry_id, horse_id

ORDER = "order-1"
"""No card of the demo has more than one order."""

SEEN = "Every rider has seen the cards."
"""Why the demo does not wait, by the server's clock, until protests are no longer taken in."""


def command_of(  # noqa: C901, PLR0911, PLR0912 - one branch a happening
    what: Happening, state: ClassState, book: RuleBook
) -> Command | None:
    """The command that it is, ``None`` where somebody only looks or it was done beforehand."""
    match what:
        case then.Look() | then.AskWhatIf() | then.EnterLate():
            return None
        case then.Reinstate():
            return ask.ReinstateEntry(ref=_ref(what.back), reason=what.reason)
        case then.Readmit():
            return ask.ReadmitEntry(ref=_ref(what.back), reason=what.reason)
        case then.MissGate():
            return ask.RecordMissedGate(ref=_ref(what.back))
        case then.ChangeHorse():
            horse = horse_id(what.horse_of)
            return ask.ChangeHorse(ref=_ref(what.back), horse=horse, reason=what.reason)
        case then.RideOutOfOrder():
            return ask.RecordOutOfOrder(ref=_ref(what.back))
        case then.CallBack():
            return ask.CallBack(seat=what.by, entries=tuple(map(_ref, what.back)))
        case then.Place():
            return ask.PlaceCard(seat=what.by, order=tuple(map(_ref, what.order)))
        case then.GiveCardBack():
            return ask.ReopenCard(seat=what.seat, reason=what.reason)
        case then.RunOff():
            return _run_off(what, state, book)
        case then.Cut():
            return ask.MakeCut(size=what.size, with_ties=what.with_ties)
        case then.SetCuts():
            return ask.SetContestCuts(cuts=what.cuts)
        case then.PayPrize():
            return ask.AwardPrizeMoney(
                purse=what.cents,
                percentages=what.percentages,
                seat=what.seat,
                odd_cents="to_first",
            )
        case then.TakePrizeBack():
            return ask.WithdrawPrizeMoney(reason=what.reason, seat=what.seat)
        case then.Deny():
            return ask.RuleProtest(protest=what.protest, verdict="denied", reason=what.reason)
        case then.WithdrawProtest():
            return ask.WithdrawProtest(protest=what.protest)
        case then.Scratch():
            return ask.ScratchEntry(ref=_ref(what.back), reason=what.reason)
        case then.Order():
            return ask.SetOrder(
                seat=what.by,
                order_id=ORDER,
                order=tuple(map(_ref, what.order)),
                by=what.settled_by,
                reason=what.reason,
            )
        case then.ConfirmOrder():
            return ask.ConfirmOrder(seat=what.by, order_id=ORDER)
        case then.WithdrawOrder():
            return ask.WithdrawOrder(seat=what.by, order_id=ORDER)
        case then.Sign():
            return ask.SignCard(seat=what.seat or what.by)
        case then.Post():
            return ask.PostResults()
        case then.MakeOfficial():
            return ask.MakeOfficial(reason=SEEN)
        case then.FileProtest():
            return ask.FileProtest(
                protest=what.protest,
                filed_by=what.filed_by,
                ground=what.ground,
                statement=what.statement,
                ref=_ref(what.back),
                seat=what.seat,
            )
        case then.Uphold():
            return ask.RuleProtest(protest=what.protest, verdict="upheld", reason=what.reason)
        case then.Reopen():
            return ask.ReopenResults(
                authority="ruling" if what.protest else "office_error",
                protest=what.protest,
                reason=what.reason,
            )
        case then.CorrectPenalty():
            return _correction(what, state)


def penalty_at(
    state: ClassState, seat: str, back_number: int, maneuver: int
) -> Known[happened.PenaltyCalled]:
    """The first penalty that stands on a card for a maneuver."""
    ride = state.cards[seat].rides[entry_id(back_number)]
    return next(known for known in ride.penalties if known.event.maneuver == maneuver)


def _run_off(what: then.RunOff, state: ClassState, book: RuleBook) -> ask.HoldRunOff:
    rows = panel_result(state, book).rows
    equal = tuple(ask.EntryRef(entry=row.entry) for row in rows if row.tied and row.place == 1)
    if what.declined:
        return ask.HoldRunOff(declined=equal, award_to=equal[-1])
    return ask.HoldRunOff(order=equal[::-1])


def _correction(what: then.CorrectPenalty, state: ClassState) -> ask.MakeCorrection:
    standing = penalty_at(state, what.seat, what.back, what.maneuver)
    instead = None
    if what.to is not None:
        instead = ask.CallPenalty(
            seat=what.seat,
            ref=_ref(what.back),
            call=f"{standing.event.call}-corrected",
            code=what.to,
            maneuver=what.maneuver,
        )
    return ask.MakeCorrection(
        correction=f"correction-{len(state.corrections) + 1}",
        seat=what.seat,
        ref=_ref(what.back),
        authority=what.authority,
        reason=what.reason,
        replaces=standing.version,
        fact=instead,
        protest=what.protest,
    )


def _ref(back_number: int) -> EntryRef:
    return EntryRef(back_number=back_number)
