"""How each event moves the state of a class on; nothing here can fail."""

from collections.abc import Callable, Iterable, Mapping
from typing import Any

import msgspec

from events.envelope import Event
from events.judged_class import events as happened
from events.judged_class.events import ClassEvent
from events.judged_class.evolve_cards import CARD_HANDLERS
from events.judged_class.evolve_changes import CHANGE_HANDLERS
from events.judged_class.state import (
    INITIAL,
    Card,
    ClassState,
    Entry,
    Known,
    Protest,
)

_replace = msgspec.structs.replace


def evolve(state: ClassState, event: ClassEvent) -> ClassState:
    """The state after one more event. Total: an event that fits nothing only counts a version."""
    version = state.version + 1
    moved = HANDLERS[type(event)](state, event, version)
    # The handlers of cards set the version along with the rest: a fold is mostly these.
    return moved if moved.version == version else _replace(moved, version=version)


def skip(state: ClassState) -> ClassState:
    """The state after an event that is struck out: its version passes, nothing else happens."""
    return _replace(state, version=state.version + 1)


def fold(events: Iterable[ClassEvent], state: ClassState = INITIAL) -> ClassState:
    """The state after all of ``events``."""
    for event in events:
        state = evolve(state, event)
    return state


# --- setting up ---------------------------------------------------------------------------------


def _scheduled(state: ClassState, event: happened.ClassScheduled, _: int) -> ClassState:
    return _replace(state, scheduled=event, phase="planned")


def _pattern_set(state: ClassState, event: happened.PatternSet, _: int) -> ClassState:
    return _replace(state, pattern=event)


def _judge_seated(state: ClassState, event: happened.JudgeSeated, version: int) -> ClassState:
    seated = state.cards.get(event.seat)
    if seated is None:
        card = Card(seat=event.seat, judge=event.judge, kind=event.kind, version=version)
    else:
        card = _replace(seated, judge=event.judge, kind=event.kind, version=version)
    return _replace(state, cards={**state.cards, event.seat: card})


def _entry_accepted(state: ClassState, event: happened.EntryAccepted, version: int) -> ClassState:
    entry = Entry(
        id=event.entry,
        back_number=event.back_number,
        exhibitor=event.exhibitor,
        horse=event.horse,
        version=version,
        divisions=event.divisions,
        carried=event.carried,
        late=event.late,
        checked_at=event.checked_at,
    )
    return _replace(state, entries={**state.entries, event.entry: entry})


def _on_entry(state: ClassState, entry: str, **changes: object) -> ClassState:
    known = state.entries.get(entry)
    if known is None:
        return state
    return _replace(state, entries={**state.entries, entry: _replace(known, **changes)})


def _entry_scratched(state: ClassState, event: happened.EntryScratched, version: int) -> ClassState:
    return _on_entry(state, event.entry, scratched=version)


def _draw_set(
    state: ClassState, event: happened.DrawSet | happened.DrawRepaired, _: int
) -> ClassState:
    return _replace(state, draw=event.order, sections=event.sections)


def _entry_called(state: ClassState, event: happened.EntryCalled, _: int) -> ClassState:
    return _on_entry(state, event.entry, calls=event.call)


def _gate_decided(
    state: ClassState, event: happened.EntryMissedGate | happened.EntryExcused, version: int
) -> ClassState:
    gate = Known[Any](version, event)
    return _replace(_on_entry(state, event.entry, gate=gate), changed_at=version)


def _readmitted(state: ClassState, event: happened.EntryReadmitted, version: int) -> ClassState:
    known = state.entries.get(event.entry)
    if known is None or known.gate is None:
        return state
    away = (*known.away, (known.gate.version, version))
    return _replace(_on_entry(state, known.id, gate=None, away=away), changed_at=version)


def _carried_set(state: ClassState, event: happened.CarriedTotalSet, version: int) -> ClassState:
    known = _on_entry(state, event.entry, carried=event.carried, carried_at=version)
    return _replace(known, changed_at=version)


def _reinstated(state: ClassState, event: happened.EntryReinstated, version: int) -> ClassState:
    known = state.entries.get(event.entry)
    if known is None or known.scratched is None:
        return state
    away = (*known.away, (known.scratched, version))
    return _replace(_on_entry(state, known.id, scratched=None, away=away), changed_at=version)


def _reride_granted(state: ClassState, event: happened.RerideGranted, version: int) -> ClassState:
    cards = {
        seat: _replace(card, rides={e: ride for e, ride in card.rides.items() if e != event.entry})
        for seat, card in state.cards.items()
    }
    called_anew = _on_entry(state, event.entry, calls=0)
    return _replace(called_anew, cards=cards, changed_at=version)


def _horse_changed(state: ClassState, event: happened.HorseChanged, version: int) -> ClassState:
    moved = _on_entry(state, event.entry, horse=event.horse, checked_at=event.checked_at)
    return _replace(moved, changed_at=version)


def _out_of_order(state: ClassState, event: happened.EntryOutOfOrder, _: int) -> ClassState:
    return _on_entry(state, event.entry, out_of_order=True)


def _run_off_held(state: ClassState, event: happened.RunOffHeld, version: int) -> ClassState:
    run_offs = (*state.run_offs, Known(version, event))
    return _replace(state, run_offs=run_offs, changed_at=version)


def _contest_cuts_set(state: ClassState, event: happened.ContestCutsSet, _: int) -> ClassState:
    return _replace(state, contest_cuts=event.cuts)


def _cut_made(state: ClassState, event: happened.CutMade, version: int) -> ClassState:
    return _replace(state, cut=Known(version, event))


# --- results and protests -----------------------------------------------------------------------


def _results_posted(state: ClassState, event: happened.ResultsPosted, version: int) -> ClassState:
    return _replace(
        state,
        phase="posted",
        revision=event.revision,
        posted_at=version,
        protests_until=event.protests_until,
    )


def _made_official(state: ClassState, _: happened.ResultsMadeOfficial, version: int) -> ClassState:
    return _replace(state, phase="official", official_at=version)


def _reopened(state: ClassState, _: happened.ResultsReopened, __: int) -> ClassState:
    return _replace(state, phase="reopened")


def _protest_filed(state: ClassState, event: happened.ProtestFiled, version: int) -> ClassState:
    protest = Protest(filed=Known(version, event))
    return _replace(state, protests={**state.protests, event.protest: protest})


def _protest_withdrawn(
    state: ClassState, event: happened.ProtestWithdrawn, version: int
) -> ClassState:
    return _on_protest(state, event.protest, withdrawn=version)


def _protest_ruled(state: ClassState, event: happened.ProtestRuled, version: int) -> ClassState:
    return _on_protest(state, event.protest, ruled=Known(version, event))


def _on_protest(state: ClassState, protest: str, **changes: object) -> ClassState:
    known = state.protests.get(protest)
    if known is None:
        return state
    return _replace(state, protests={**state.protests, protest: _replace(known, **changes)})


def _prize_money_awarded(
    state: ClassState, event: happened.PrizeMoneyAwarded, version: int
) -> ClassState:
    purses = {**state.purses, (event.seat, event.division, event.section): Known(version, event)}
    return _replace(state, purses=purses)


def _prize_money_withdrawn(
    state: ClassState, event: happened.PrizeMoneyWithdrawn, _: int
) -> ClassState:
    gone = (event.seat, event.division, event.section)
    left = {paid: known for paid, known in state.purses.items() if paid != gone}
    return _replace(state, purses=left)


HANDLERS: Mapping[type[Event], Callable[[ClassState, Any, int], ClassState]] = {
    happened.ClassScheduled: _scheduled,
    happened.PatternSet: _pattern_set,
    happened.JudgeSeated: _judge_seated,
    happened.EntryAccepted: _entry_accepted,
    happened.EntryScratched: _entry_scratched,
    happened.DrawSet: _draw_set,
    happened.DrawRepaired: _draw_set,
    happened.EntryCalled: _entry_called,
    happened.EntryMissedGate: _gate_decided,
    happened.EntryExcused: _gate_decided,
    happened.EntryOutOfOrder: _out_of_order,
    happened.EntryReadmitted: _readmitted,
    happened.EntryReinstated: _reinstated,
    happened.CarriedTotalSet: _carried_set,
    happened.RerideGranted: _reride_granted,
    happened.HorseChanged: _horse_changed,
    happened.RunOffHeld: _run_off_held,
    happened.CutMade: _cut_made,
    happened.ContestCutsSet: _contest_cuts_set,
    **CHANGE_HANDLERS,
    **CARD_HANDLERS,
    happened.ResultsPosted: _results_posted,
    happened.ResultsMadeOfficial: _made_official,
    happened.ResultsReopened: _reopened,
    happened.ProtestFiled: _protest_filed,
    happened.ProtestWithdrawn: _protest_withdrawn,
    happened.ProtestRuled: _protest_ruled,
    happened.PrizeMoneyAwarded: _prize_money_awarded,
    happened.PrizeMoneyWithdrawn: _prize_money_withdrawn,
}
