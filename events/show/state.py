"""What is known of a show after its first n events."""

from collections.abc import Callable, Iterable, Mapping
from typing import Any

import msgspec

from events.envelope import Event
from events.rulebook.model import RuleBookRef
from events.show import events as happened
from events.show.events import ShowEvent


class ShowState(msgspec.Struct, frozen=True, kw_only=True):
    """A show as it is known at one version of its stream; rule books by their id."""

    version: int = 0
    planned: happened.ShowPlanned | None = None
    rings: tuple[str, ...] = ()
    officials: tuple[happened.OfficialNamed, ...] = ()
    rulebooks: Mapping[str, RuleBookRef] = {}


INITIAL = ShowState()
_replace = msgspec.structs.replace


def evolve(state: ShowState, event: ShowEvent) -> ShowState:
    """The state after one more event. Total."""
    return _replace(HANDLERS[type(event)](state, event), version=state.version + 1)


def fold(events: Iterable[ShowEvent], state: ShowState = INITIAL) -> ShowState:
    """The state after all of ``events``."""
    for event in events:
        state = evolve(state, event)
    return state


def _planned(state: ShowState, event: happened.ShowPlanned) -> ShowState:
    return _replace(state, planned=event)


def _ring_added(state: ShowState, event: happened.RingAdded) -> ShowState:
    return _replace(state, rings=(*state.rings, event.ring))


def _official_named(state: ShowState, event: happened.OfficialNamed) -> ShowState:
    return _replace(state, officials=(*state.officials, event))


def _rulebook_adopted(state: ShowState, event: happened.RuleBookAdopted) -> ShowState:
    return _replace(state, rulebooks={**state.rulebooks, event.rulebook.id: event.rulebook})


HANDLERS: Mapping[type[Event], Callable[[ShowState, Any], ShowState]] = {
    happened.ShowPlanned: _planned,
    happened.RingAdded: _ring_added,
    happened.OfficialNamed: _official_named,
    happened.RuleBookAdopted: _rulebook_adopted,
}
