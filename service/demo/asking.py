"""What a happening of the demo asks of a class, in the words of the core."""

from events.envelope import Command
from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.judged_class.commands import EntryRef
from events.judged_class.state import ClassState, Known
from service.demo import happenings as then
from service.demo.happenings import Happening
from service.demo.scenario import entry_id

ORDER = "order-1"
"""No card of the demo has more than one order."""


def command_of(what: Happening, state: ClassState) -> Command | None:
    """The command that it is, ``None`` where somebody only looks."""
    match what:
        case then.Look() | then.AskWhatIf():
            return None
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
        case then.Sign():
            return ask.SignCard(seat=what.seat or what.by)
        case then.Post():
            return ask.PostResults()
        case then.MakeOfficial():
            return ask.MakeOfficial()
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
            return ask.ReopenResults(authority="ruling", protest=what.protest, reason=what.reason)
        case then.CorrectPenalty():
            return _correction(what, state)


def penalty_at(
    state: ClassState, seat: str, back_number: int, maneuver: int
) -> Known[happened.PenaltyCalled]:
    """The first penalty that stands on a card for a maneuver."""
    ride = state.cards[seat].rides[entry_id(back_number)]
    return next(known for known in ride.penalties if known.event.maneuver == maneuver)


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
