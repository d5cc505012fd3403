"""A day's programme: every ring's classes with the times that are reckoned with."""

from typing import ClassVar

import msgspec

from events.judged_class.state import ClassState
from events.projections.timetable import Estimate
from service.desk.desk import Desk
from service.desk.names import Names, names
from service.desk.schedule import DayLook
from service.print.about import planned_of
from service.print.press import Head, Sheet
from service.print.words import Clock, day_words


class Turn(msgspec.Struct, frozen=True, kw_only=True):
    """A class in its turn."""

    starts: str
    number: str
    name: str
    judges: str
    entries: str
    remark: str


class Ring(msgspec.Struct, frozen=True, kw_only=True):
    """A ring's classes in the order they are held."""

    name: str
    turns: tuple[Turn, ...]


class Programme(Sheet, frozen=True, kw_only=True):
    """A day of a show, ring by ring."""

    TEMPLATE: ClassVar[str] = "programme"

    rings: tuple[Ring, ...]


def programme(desk: Desk, show_id: str, seen: DayLook) -> Programme:
    """The programme of a day as it is looked at."""
    planned = planned_of(desk, show_id)
    clock = Clock(seen.zone)
    judges = names(
        desk.database,
        people=(card.judge for state in seen.classes.values() for card in state.cards.values()),
    )
    return Programme(
        head=Head(
            kind="Programme",
            show=f"{planned.name}, {planned.place}",
            subject=day_words(seen.day),
            facts=(("Times", f"those of {planned.time_zone}"),),
            standing=f"Times to come are reckoned as of {clock.moment(desk.clock())}.",
        ),
        rings=tuple(
            Ring(
                name=ring.ring,
                turns=tuple(
                    _turn(each, seen.classes[each.class_id], judges, clock)
                    for each in ring.estimates
                ),
            )
            for ring in seen.rings
        ),
    )


def _turn(of: Estimate, state: ClassState, judges: Names, clock: Clock) -> Turn:
    scheduled = state.scheduled
    assert scheduled is not None  # noqa: S101 - only scheduled classes have a turn
    seats = sorted(card.seat for card in state.cards.values() if card.kind == "judge")
    return Turn(
        starts=clock.time(of.starts_at),
        number="" if scheduled.number is None else str(scheduled.number),
        name=scheduled.name,
        judges=", ".join(judges.person(state.cards[seat].judge) for seat in seats),
        entries=str(of.entries),
        remark="cancelled" if state.phase == "cancelled" else _remark(of, clock),
    )


def _remark(of: Estimate, clock: Clock) -> str:
    if of.ended:
        return f"ended {clock.time(of.ends_at)}"
    if of.started:
        return f"running, {of.ridden} of {of.entries} have ridden"
    return f"until about {clock.time(of.ends_at)}"
