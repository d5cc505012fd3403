"""All results of a show, or of one of its days, one class after another."""

from collections.abc import Iterator
from datetime import date
from typing import ClassVar

from events.envelope import stream_of
from events.judged_class.state import ClassState
from service.desk import shows
from service.desk.caller import Caller
from service.desk.desk import Desk
from service.desk.look import look
from service.print.about import clock_of, planned_of
from service.print.press import Head, Sheet
from service.print.results import Results, results
from service.print.words import day_words

_STANDS = frozenset({"posted", "official"})


class ShowResults(Sheet, frozen=True, kw_only=True):
    """The results of each class that are posted or official, in the order of the prize list."""

    TEMPLATE: ClassVar[str] = "show-results"

    classes: tuple[Results, ...]


def show_results(desk: Desk, caller: Caller, show_id: str, day: date | None) -> ShowResults:
    """The results as the caller may see them: a public key, the last official ones."""
    planned = planned_of(desk, show_id)
    held = sorted(
        _of_day(desk, caller, show_id, day),
        key=lambda each: (each[1] is None, each[1] or 0, each[0]),
    )
    first, last = day_words(planned.first_day), day_words(planned.last_day)
    return ShowResults(
        head=Head(
            kind="Results",
            show=f"{planned.name}, {planned.place}",
            subject=f"{first} to {last}" if day is None else day_words(day),
            facts=(("Classes", str(len(held))),),
            standing=f"As they stood on {clock_of(planned).moment(desk.clock())}.",
        ),
        classes=tuple(results(desk, caller, look(desk, caller, name)) for name, _ in held),
    )


def _of_day(
    desk: Desk, caller: Caller, show_id: str, day: date | None
) -> Iterator[tuple[str, int | None]]:
    for each in shows.classes_of(desk, caller, show_id):
        state = desk.classes.latest(stream_of("class", each.id)).state
        if state.scheduled is None or not _shown(caller, state):
            continue
        if day is None or state.scheduled.day == day:
            yield each.id, state.scheduled.number


def _shown(caller: Caller, state: ClassState) -> bool:
    return state.has_been_official if caller.role == "public" else state.phase in _STANDS
