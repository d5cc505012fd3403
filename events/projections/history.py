"""The recorded story of one class, and the state it was in at any moment of either clock."""

from collections.abc import Callable, Collection, Sequence
from datetime import datetime
from typing import cast

import msgspec

from events.envelope import Actor, RecordedEvent
from events.judged_class.events import ClassEvent
from events.judged_class.evolve import evolve, skip
from events.judged_class.state import INITIAL, ClassState
from events.refusals import Refusal


class Witness(msgspec.Struct, frozen=True, kw_only=True):
    """The event behind a fact: which one, whose hand, which device, both times."""

    version: int
    event_id: str
    actor: Actor
    occurred_at: datetime
    recorded_at: datetime


class History(msgspec.Struct, frozen=True):
    """All recorded events of one class, from version 1 without gaps."""

    events: Sequence[RecordedEvent]

    @property
    def version(self) -> int:
        """The version of the last event, 0 when there is none."""
        return len(self.events)

    def at_version(self, version: int) -> ClassState:
        """The class after its first ``version`` events; ``Refusal`` when it has not so many."""
        if not 0 <= version <= self.version:
            raise Refusal(
                "unknown_version",
                f"The class has events 1 to {self.version}, not {version}.",
                field="version",
                version=version,
            )
        return _fold(self.events[:version], lambda _: True)

    def known_at(self, moment: datetime) -> ClassState:
        """The class as the office knew it at a time of the server's clock."""
        return _fold(self.events, lambda event: event.recorded_at <= moment)

    def happened_by(self, moment: datetime) -> ClassState:
        """The class as it stood in the ring at a time of the devices' clocks.

        It counts what had happened by then although the office learnt of it later.
        """
        return _fold(self.events, lambda event: event.occurred_at <= moment)

    def without(self, struck: Collection[int]) -> ClassState:
        """The class as if the events of those versions had not been."""
        return _fold(self.events, lambda event: event.version not in struck)

    def witness(self, version: int) -> Witness:
        """Who and what stands behind the event of that version."""
        return witness_of(self.events[version - 1])


def witness_of(event: RecordedEvent) -> Witness:
    """Who and what stands behind an event."""
    return Witness(
        version=event.version,
        event_id=event.id,
        actor=event.actor,
        occurred_at=event.occurred_at,
        recorded_at=event.recorded_at,
    )


def _fold(events: Sequence[RecordedEvent], keep: Callable[[RecordedEvent], bool]) -> ClassState:
    """The state after the events that are kept; the others pass their version and do nothing."""
    state = INITIAL
    for event in events:
        state = evolve(state, cast("ClassEvent", event.data)) if keep(event) else skip(state)
    return state
