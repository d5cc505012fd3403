"""Decisions about prize money: it follows official results, and never holds them back."""

from collections.abc import Mapping

import msgspec

from events.envelope import Event
from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.judged_class.paid_places import paid_places
from events.judged_class.state import ClassState
from events.refusals import Refusal
from events.rulebook.model import RuleBook
from events.scoring.exact import to_words
from events.scoring.held_places import PlacesUnsound
from events.scoring.payout import Payout, ScheduleUnfit, pay_out, schedule


def award(state: ClassState, command: ask.AwardPrizeMoney, rulebook: RuleBook) -> tuple[Event, ...]:
    """A purse is awarded once for each placing; awarding it anew takes a reason."""
    if command.purse < 1:
        raise Refusal("purse_empty", "A purse holds at least one cent.", field="purse")
    places = paid_places(
        state, rulebook, seat=command.seat, division=command.division, section=command.section
    )
    by = happened.PrizeSchedule(
        percentages=command.percentages, odd_cents=command.odd_cents, unfilled=command.unfilled
    )
    paid = paid_out(command.purse, by, places)
    event = happened.PrizeMoneyAwarded(
        purse=command.purse,
        schedule=by,
        prizes=prizes(paid),
        results=state.official_at,
        unscheduled=paid.unscheduled,
        unfilled=paid.unfilled,
        odd_cents=paid.odd_cents,
        seat=command.seat,
        division=command.division,
        section=command.section,
        reason=command.reason,
    )
    known = state.purses.get((command.seat, command.division, command.section))
    if known is not None and _same(known.event, event):
        return ()
    if known is not None and command.reason is None:
        raise Refusal(
            "reason_missing",
            "Prize money was awarded for this placing already; awarding it anew takes a reason.",
            field="reason",
        )
    return (event,)


def withdraw(state: ClassState, command: ask.WithdrawPrizeMoney) -> tuple[Event, ...]:
    """What was not awarded is withdrawn already."""
    if (command.seat, command.division, command.section) not in state.purses:
        return ()
    event = happened.PrizeMoneyWithdrawn(
        reason=command.reason,
        seat=command.seat,
        division=command.division,
        section=command.section,
    )
    return (event,)


def paid_out(purse: int, by: happened.PrizeSchedule, places: Mapping[str, int]) -> Payout:
    """What a purse pays by a schedule as it was written; or a refusal."""
    if not by.percentages:
        raise Refusal("schedule_unfit", "A schedule pays one place at least.", field="percentages")
    try:
        read = schedule(by.percentages, odd_cents=by.odd_cents, unfilled=by.unfilled)
        return pay_out(purse, read, places)
    except PlacesUnsound as unsound:
        raise Refusal("places_unsound", str(unsound)) from unsound
    except ScheduleUnfit as unfit:
        raise Refusal("schedule_unfit", str(unfit), field=unfit.field) from unfit
    except ValueError as unreadable:
        raise Refusal(
            "schedule_unfit", f"A percentage cannot be read: {unreadable}.", field="percentages"
        ) from unreadable


def prizes(of: Payout) -> tuple[happened.PrizeAwarded, ...]:
    """The prizes of those who are paid anything, as they are recorded."""
    return tuple(
        happened.PrizeAwarded(
            entry=prize.entry,
            place=prize.place,
            percent=to_words(prize.percent),
            cents=prize.cents,
            odd_cents=prize.odd_cents,
        )
        for prize in of.prizes
        if prize.cents
    )


def _same(known: happened.PrizeMoneyAwarded, event: happened.PrizeMoneyAwarded) -> bool:
    """Whether it pays the very same, whatever made the results official since."""
    return known == msgspec.structs.replace(event, reason=known.reason, results=known.results)
