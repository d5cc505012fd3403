"""What the office changes of a class before anybody rides in it, or in the next round."""

import msgspec

from events.envelope import Command
from events.judged_class import commands as ask
from events.judged_class.state import ClassState
from events.rulebook.model import PanelChoice, RuleBook
from service.demo.asking import SEEN
from service.demo.scenario import ClassStory

COMBINED = "combined"
"""The class takes the next one of its kind in, which the desk does for both at once."""

RESERVE = "p-21"
"""The judge who fills in."""


def changed(story: ClassStory, what: str) -> tuple[ClassStory, tuple[Command, ...]]:
    """The class as it is held after the change, and what the office asks for."""
    last = max(story.judges)
    match what:
        case "cancelled":
            return story, (
                ask.CancelClass(reason="Lightning near the ring"),
                ask.LiftCancellation(reason="The storm has passed, and the footing is good"),
            )
        case "renamed":
            named = ask.RescheduleClass(
                name=f"{story.name}, Rosehip Trophy",
                number=story.number,
                ring=story.ring,
                day=story.begins.date(),
                reason="A trophy was given for it",
            )
            return story, (named,)
        case "panel changed":
            panel = PanelChoice(method="sum")
            return story, (ask.ChangePanel(panel=panel, reason="One result was asked for"),)
        case "judge unseated":
            return story, (
                ask.UnseatJudge(seat=last, reason="The seats were mixed up"),
                ask.SeatJudge(seat=last, judge=story.judges[last]),
            )
        case "judge replaced":
            reason = "The judge was called away; the reserve judge sits"
            return story, (ask.ReplaceJudge(seat=last, judge=RESERVE, reason=reason),)
        case "seat closed":
            reason = "The judge has the flu; the panel goes on without"
            left = {seat: judge for seat, judge in story.judges.items() if seat != last}
            held = msgspec.structs.replace(story, judges=left)
            return held, (ask.CloseSeat(seat=last, reason=reason),)
        case _:
            raise ValueError(f"{story.id}: nothing is known of {what!r}")


def overlooked(state: ClassState, book: RuleBook) -> tuple[tuple[int, Command], ...]:
    """A penalty that was not entered is added to the card of a round, and its cut made again.

    Each with how many minutes before the next round it is asked.
    """
    assert state.cut is not None  # noqa: S101 - the next round was entered from it
    [seat] = state.cards
    ref = ask.EntryRef(entry=state.cut.event.qualified[0])
    reason = "A penalty on the judge's paper was not entered"
    code = book.penalties[0].code
    added = ask.MakeCorrection(
        correction="overlooked",
        seat=seat,
        ref=ref,
        authority="office_error",
        reason=reason,
        fact=ask.CallPenalty(seat=seat, ref=ref, call="overlooked", code=code, maneuver=1),
    )
    size = state.cut.event.size
    return (
        (52, ask.ReopenResults(authority="office_error", reason=reason)),
        (51, added),
        (50, ask.PostResults()),
        (49, ask.MakeCut(size=size)),
        (18, ask.MakeOfficial(reason=SEEN)),
    )
