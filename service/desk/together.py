"""Many commands to one class at once, as a tablet sends them: each is answered for itself."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from events.envelope import Command, stream_of
from events.judged_class.state import ClassState
from events.refusals import Refusal
from service.desk import classes, office_rules
from service.desk.caller import Ask, Receipt
from service.desk.carry_out import receipt
from service.desk.desk import Desk
from service.store.errors import CommandIdReused, NotTogether, WrongExpectedVersion
from service.store.execute import Executed, Wanted, execute_together

AT_ONCE = 50
"""So many commands share a transaction at most, since nobody else appends meanwhile."""


class Sent(NamedTuple):
    """A command with its envelope; its texts come as plain text."""

    ask: Ask
    command: Command


class TurnedDown(NamedTuple):
    """Why a command was not carried out, and at which version the class then was."""

    why: Refusal | WrongExpectedVersion | CommandIdReused
    version: int


def carry_out_all(desk: Desk, class_id: str, sent: Sequence[Sent]) -> list[Receipt | TurnedDown]:
    """Carry commands out in the order sent; one that is turned down does not lose the others.

    What is answered for stands, as after ``classes.carry_out`` for each of them. Most are written
    together, which costs the disk one wait instead of one for each.
    """
    answers: list[Receipt | TurnedDown] = []
    for group in _groups(sent):
        answers += _carry_out(desk, class_id, group)
    return answers


def _groups(sent: Sequence[Sent]) -> Iterator[list[Sent]]:
    """What may be decided on one look at the show: its deadlines hang on what is recorded."""
    group: list[Sent] = []
    for each in sent:
        timely = type(each.command) in office_rules.LIMITS
        if group and (timely or len(group) == AT_ONCE):
            yield group
            group = []
        group.append(each)
        if timely:
            yield group
            group = []
    if group:
        yield group


def _carry_out(desk: Desk, class_id: str, group: Sequence[Sent]) -> Iterator[Receipt | TurnedDown]:
    left = list(group)
    while left:
        try:
            done = _together(desk, class_id, left) if len(left) > 1 else []
        except NotTogether:
            yield from (_alone(desk, class_id, each) for each in left)
            return
        for executed in done:
            yield receipt(class_id, executed)
        left = left[len(done) :]
        if left:  # the next is refused, unless the class has moved on meanwhile
            yield _alone(desk, class_id, left.pop(0))


def _together(desk: Desk, class_id: str, sent: Sequence[Sent]) -> list[Executed]:
    stream = stream_of("class", class_id)
    wanted: list[Wanted[ClassState]] = [
        classes.wanted(desk, each.ask, class_id, each.command) for each in sent
    ]
    return desk.turns.take(stream, lambda: execute_together(desk.classes, stream, wanted))


def _alone(desk: Desk, class_id: str, sent: Sent) -> Receipt | TurnedDown:
    try:
        return classes.carry_out(desk, sent.ask, class_id, sent.command)
    except (Refusal, WrongExpectedVersion, CommandIdReused) as why:
        return TurnedDown(why, desk.classes.latest(stream_of("class", class_id)).version)
