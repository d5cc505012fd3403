"""Given a show, when something more is asked of it, then these events or that refusal."""

from datetime import date
from typing import Self, cast

import msgspec
import pytest

from events.envelope import Actor, Command, Event
from events.refusals import Refusal
from events.show import commands as ask
from events.show import decide
from events.show.events import ShowEvent
from events.show.state import INITIAL, ShowState, evolve
from tests.core.judged_class.scene import check_readable

OFFICE = Actor(key="office-1", role="office")
STEWARD = Actor(key="steward-1", role="steward")
PLAN = ask.PlanShow(
    name="Three Creeks Open",
    place="Three Creeks",
    time_zone="America/Chicago",
    first_day=date(2026, 6, 5),
    last_day=date(2026, 6, 7),
)
MAIN = ask.AddRing(ring="Main")


class Scene:
    """A show as commands have made it; ``given`` holds each command to being repeatable."""

    def __init__(self) -> None:
        self.state: ShowState = INITIAL

    def when(self, command: Command, by: Actor = OFFICE) -> tuple[Event, ...]:
        return decide.decide(self.state, command, actor=by)

    def given(self, *commands: Command) -> Self:
        for command in commands:
            (event,) = self.when(command)
            self.state = evolve(self.state, cast("ShowEvent", event))
            assert self.when(command) == ()
        return self

    def refuses(
        self, command: Command, code: str, field: str | None, by: Actor = OFFICE
    ) -> Refusal:
        with pytest.raises(Refusal) as caught:
            self.when(command, by)
        check_readable(caught.value, command)
        assert (caught.value.code, caught.value.field) == (code, field)
        return caught.value


def planned() -> Scene:
    return Scene().given(PLAN, MAIN)


def changed(command: Command, **changes: object) -> Command:
    return msgspec.structs.replace(command, **changes)
