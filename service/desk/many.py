"""Several entries by one command: all of them are accepted, or none is."""

from collections.abc import Iterable

from events.envelope import Event
from events.judged_class.commands import AcceptEntry
from events.judged_class.evolve import evolve
from events.judged_class.state import ClassState
from service.desk import registered
from service.desk.caller import Ask
from service.desk.classes import decided_on
from service.desk.desk import Desk


def accept(
    desk: Desk, ask: Ask, state: ClassState, entries: Iterable[AcceptEntry]
) -> tuple[Event, ...]:
    """What accepting these one after the other leads to; the first refusal is that of all."""
    events: list[Event] = []
    for entry in entries:
        registered.check(desk.database, entry)
        for event in decided_on(desk, ask, state, entry):
            events.append(event)
            state = evolve(state, event)  # type: ignore[arg-type]  # a class decides class events
    return tuple(events)
