"""What the show asks of an entry, a scratch or a change of horse: its numbers and its deadlines."""

from collections.abc import Mapping
from datetime import timedelta
from typing import Literal

from events.envelope import Command, stream_of
from events.judged_class.commands import AcceptEntry, ChangeHorse, ReinstateEntry, ScratchEntry
from events.refusals import Refusal
from events.show.state import ShowState
from service.desk.caller import Ask
from service.desk.desk import Desk
from service.desk.schedule import start_of

Limit = Literal["late_entry", "scratch", "horse_change"]
LIMITS: Mapping[type[Command], Limit] = {
    AcceptEntry: "late_entry",
    ReinstateEntry: "late_entry",
    ScratchEntry: "scratch",
    ChangeHorse: "horse_change",
}
CALLED: Mapping[Limit, str] = {
    "late_entry": "entries",
    "scratch": "scratches",
    "horse_change": "changes of horse",
}


def check(desk: Desk, ask: Ask, show_id: str, class_id: str, command: Command) -> None:
    """Refuse what comes after the show's deadline, or another back number than the show gave."""
    limit = LIMITS.get(type(command))
    if limit is None or (isinstance(command, ReinstateEntry) and command.office_error):
        return
    show = desk.shows.latest(stream_of("show", show_id)).state
    if isinstance(command, AcceptEntry):
        check_number(show, command)
    check_in_time(desk, ask, show, class_id, limit)


def check_number(show: ShowState, command: AcceptEntry) -> None:
    """Refuse another back number than the show gave, where it gives any."""
    if not show.back_numbers:
        return
    held = show.number_of(command.exhibitor, command.horse)
    rule = "a back number is given once for the whole show"
    if held is None:
        raise Refusal(
            "back_number_not_given",
            "This show gives back numbers, and has given none to this exhibitor with this horse.",
            field="exhibitor",
            rule=rule,
            exhibitor=command.exhibitor,
            horse=command.horse,
        )
    if held != command.back_number:
        raise Refusal(
            "back_number_of_another",
            f"They carry back number {held} at this show, not {command.back_number}.",
            field="back_number",
            rule=rule,
            number=held,
        )


def check_in_time(desk: Desk, ask: Ask, show: ShowState, class_id: str, limit: Limit) -> None:
    """Refuse what comes later than the show takes it, by the start that is expected now."""
    if show.deadlines is None:
        return
    minutes: int = getattr(show.deadlines, limit)
    known = start_of(desk, show, class_id)
    if known is None:
        return
    starts, begun = known
    closes = starts - timedelta(minutes=minutes)
    if (ask.occurred_at or desk.clock()) < closes or not (begun or minutes):
        return
    instead = (
        " Nobody has to ride: an entry that cannot go on is excused at the gate."
        if limit == "scratch"
        else ""
    )
    raise Refusal(
        "deadline_passed",
        f"The office took {CALLED[limit]} until {minutes} minutes before the class starts, which "
        f"was {closes:%Y-%m-%dT%H:%M:%SZ}.{instead}",
        rule=f"deadlines of the show: {CALLED[limit]} until {minutes} minutes before the start",
        closed_at=f"{closes:%Y-%m-%dT%H:%M:%SZ}",
        minutes=minutes,
    )
