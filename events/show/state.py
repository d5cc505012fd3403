"""What is known of a show after its first n events."""

from collections.abc import Callable, Iterable, Mapping
from datetime import date
from typing import Any

import msgspec

from events.awards.rules import AwardRules
from events.envelope import Event
from events.rulebook.model import RuleBookRef
from events.show import events as happened
from events.show.events import ShowEvent

Shown = tuple[str, str | None, str | None]
"""What evidence is about: a division, and the id of a rider or of a horse."""


class Settlement(msgspec.Struct, frozen=True, kw_only=True):
    """What settled a tie, by the version of its event; ``withdrawn`` when it was taken back."""

    version: int
    event: happened.AwardTieSettled
    withdrawn: bool = False


class ShowState(msgspec.Struct, frozen=True, kw_only=True):
    """A show as it is known at one version of its stream; rule books by their id."""

    version: int = 0
    planned: happened.ShowPlanned | None = None
    rings: tuple[str, ...] = ()
    officials: tuple[happened.OfficialNamed, ...] = ()
    rulebooks: Mapping[str, RuleBookRef] = {}
    slots: Mapping[str, happened.ClassSlotted] = {}
    back_numbers: Mapping[int, happened.BackNumberGiven] = {}
    spent_numbers: frozenset[int] = frozenset()
    deadlines: happened.DeadlinesSet | None = None
    divisions: Mapping[str, happened.DivisionDefined] = {}
    class_divisions: Mapping[str, happened.ClassDivisionsSet] = {}
    evidence: Mapping[Shown, happened.EvidenceSeen] = {}
    awards: Mapping[str, AwardRules] = {}
    settlements: Mapping[str, tuple[Settlement, ...]] = {}

    def settled(self, award: str) -> tuple[Settlement, ...]:
        """The settlements of an award's ties that were not taken back, oldest first."""
        return tuple(each for each in self.settlements.get(award, ()) if not each.withdrawn)

    def number_of(self, exhibitor: str, horse: str | None) -> int | None:
        """The back number of an exhibitor with that horse, else of the exhibitor alone."""
        held = {(each.exhibitor, each.horse): each.number for each in self.back_numbers.values()}
        return held.get((exhibitor, horse), held.get((exhibitor, None)))

    def running_order(self, ring: str, day: date) -> tuple[happened.ClassSlotted, ...]:
        """The classes of a ring on a day, in the order they are held."""
        held = [slot for slot in self.slots.values() if (slot.ring, slot.day) == (ring, day)]
        return tuple(sorted(held, key=lambda slot: slot.slot))


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


def _class_slotted(state: ShowState, event: happened.ClassSlotted) -> ShowState:
    return _replace(state, slots={**state.slots, event.class_id: event})


def _number_given(state: ShowState, event: happened.BackNumberGiven) -> ShowState:
    return _replace(state, back_numbers={**state.back_numbers, event.number: event})


def _number_taken_back(state: ShowState, event: happened.BackNumberTakenBack) -> ShowState:
    held = {number: each for number, each in state.back_numbers.items() if number != event.number}
    return _replace(state, back_numbers=held, spent_numbers=state.spent_numbers | {event.number})


def _deadlines_set(state: ShowState, event: happened.DeadlinesSet) -> ShowState:
    return _replace(state, deadlines=event)


def _division_defined(state: ShowState, event: happened.DivisionDefined) -> ShowState:
    return _replace(
        state,
        divisions={**state.divisions, event.division: event},
        evidence=_without(state.evidence, event.division),
    )


def _division_dropped(state: ShowState, event: happened.DivisionDropped) -> ShowState:
    left = {name: each for name, each in state.divisions.items() if name != event.division}
    return _replace(state, divisions=left, evidence=_without(state.evidence, event.division))


def _without(
    evidence: Mapping[Shown, happened.EvidenceSeen], division: str
) -> Mapping[Shown, happened.EvidenceSeen]:
    """Evidence was seen for the terms of its day, and counts for no others."""
    return {about: each for about, each in evidence.items() if each.division != division}


def _class_divisions_set(state: ShowState, event: happened.ClassDivisionsSet) -> ShowState:
    return _replace(state, class_divisions={**state.class_divisions, event.class_id: event})


def _evidence_seen(state: ShowState, event: happened.EvidenceSeen) -> ShowState:
    about = (event.division, event.exhibitor, event.horse)
    return _replace(state, evidence={**state.evidence, about: event})


def _evidence_taken_back(state: ShowState, event: happened.EvidenceTakenBack) -> ShowState:
    about = (event.division, event.exhibitor, event.horse)
    left = {key: each for key, each in state.evidence.items() if key != about}
    return _replace(state, evidence=left)


def _award_defined(state: ShowState, event: happened.ShowAwardDefined) -> ShowState:
    return _replace(state, awards={**state.awards, event.rules.award: event.rules})


def _award_dropped(state: ShowState, event: happened.ShowAwardDropped) -> ShowState:
    return _replace(
        state,
        awards={name: each for name, each in state.awards.items() if name != event.award},
        settlements={name: each for name, each in state.settlements.items() if name != event.award},
    )


def _tie_settled(state: ShowState, event: happened.AwardTieSettled) -> ShowState:
    settlement = Settlement(version=state.version + 1, event=event)
    known = state.settlements.get(event.award, ())
    return _replace(state, settlements={**state.settlements, event.award: (*known, settlement)})


def _settlement_withdrawn(state: ShowState, event: happened.AwardSettlementWithdrawn) -> ShowState:
    after = tuple(
        _replace(each, withdrawn=True) if each.version == event.settlement else each
        for each in state.settlements.get(event.award, ())
    )
    return _replace(state, settlements={**state.settlements, event.award: after})


HANDLERS: Mapping[type[Event], Callable[[ShowState, Any], ShowState]] = {
    happened.ShowPlanned: _planned,
    happened.RingAdded: _ring_added,
    happened.OfficialNamed: _official_named,
    happened.RuleBookAdopted: _rulebook_adopted,
    happened.ClassSlotted: _class_slotted,
    happened.BackNumberGiven: _number_given,
    happened.BackNumberTakenBack: _number_taken_back,
    happened.DeadlinesSet: _deadlines_set,
    happened.DivisionDefined: _division_defined,
    happened.DivisionDropped: _division_dropped,
    happened.ClassDivisionsSet: _class_divisions_set,
    happened.EvidenceSeen: _evidence_seen,
    happened.EvidenceTakenBack: _evidence_taken_back,
    happened.ShowAwardDefined: _award_defined,
    happened.ShowAwardDropped: _award_dropped,
    happened.AwardTieSettled: _tie_settled,
    happened.AwardSettlementWithdrawn: _settlement_withdrawn,
}
