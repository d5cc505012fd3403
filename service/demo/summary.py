"""The whole show in a few lines, counted from its log."""

from collections import Counter
from collections.abc import Iterator, Sequence
from textwrap import wrap

from events.envelope import stream_of
from events.judged_class import events as happened
from events.judged_class.state import ClassState
from service.demo.programme import Planned
from service.demo.telling import WIDTH
from service.desk.desk import Desk
from service.sheet.grid import Column, grid

_AT_ONCE = 5000
_WORDS = {
    happened.EntryScratched: ("scratch", "scratches"),
    happened.HorseChanged: ("change of horse", "changes of horse"),
    happened.EntryMissedGate: ("missed gate", "missed gates"),
    happened.EntryExcused: ("entry excused", "entries excused"),
    happened.RerideGranted: ("re-ride", "re-rides"),
    happened.EntryOutOfOrder: ("ride out of order", "rides out of order"),
    happened.OrderSet: ("order by a judge", "orders by judges"),
    happened.RunOffHeld: ("run-off of a panel", "run-offs of panels"),
    happened.CutMade: ("cut", "cuts"),
    happened.ProtestFiled: ("protest", "protests"),
    happened.CorrectionMade: ("correction", "corrections"),
}


def summary(desk: Desk, classes: Sequence[Planned]) -> Iterator[str]:
    """What each day held, and what happened in all of them."""
    states = {
        each.story.id: desk.classes.latest(stream_of("class", each.story.id)).state
        for each in classes
    }
    yield from grid(_days(classes, states), WIDTH)
    counts = Counter(type(event) for event in _class_events(desk))
    happenings = [
        f"{counts[kind]} {one if counts[kind] == 1 else many}"
        for kind, (one, many) in _WORDS.items()
        if counts[kind]
    ]
    late = sum(entry.late for state in states.values() for entry in state.entries.values())
    if late:
        happenings.insert(0, f"{late} late {'entry' if late == 1 else 'entries'}")
    official = sum(state.phase == "official" for state in states.values())
    combined = sum(state.phase == "cancelled" for state in states.values())
    rest = f", and {combined} was combined with another" if combined else ""
    events = desk.log.head().position
    yield from wrap(
        f"{official} of {len(classes)} classes are official{rest}. On the way: "
        f"{', '.join(happenings)}. Each of them, and every mark, is one of "
        f"{events:,} events.",
        WIDTH,
    )
    yield ""


def _days(classes: Sequence[Planned], states: dict[str, ClassState]) -> list[Column]:
    days = sorted({each.story.begins.date() for each in classes})
    rows = [[states[e.story.id] for e in classes if e.story.begins.date() == day] for day in days]

    def numbers(heading: str, of: Sequence[int]) -> Column:
        return Column(heading=heading, cells=tuple(f"{each:,}" for each in of), right=True)

    return [
        Column(heading="Day", cells=tuple(f"{day:%A %-d %B}" for day in days)),
        numbers("Classes", [len(row) for row in rows]),
        numbers("Entries", [sum(len(state.entries) for state in row) for row in rows]),
        numbers("Cards", [sum(len(state.cards) for state in row) for row in rows]),
        numbers("Events", [sum(state.version for state in row) for row in rows]),
    ]


def _class_events(desk: Desk) -> Iterator[object]:
    after = 0
    while found := desk.log.feed(after, _AT_ONCE):
        after = found[-1].position
        yield from (each.data for each in found)
