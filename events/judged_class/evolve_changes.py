"""How what is changed in a class that was set up moves its state on; nothing here can fail."""

from collections.abc import Callable, Iterable, Mapping
from typing import Any

import msgspec

from events.envelope import Event
from events.judged_class import events as happened
from events.judged_class.state import Cancelled, ClassState, Entry, Known
from events.rulebook.model import PanelChoice

_replace = msgspec.structs.replace


def _cancelled(
    state: ClassState, event: happened.ClassCancelled | happened.CombinedInto, version: int
) -> ClassState:
    phase = state.cancelled.phase if state.cancelled is not None else state.phase
    into = event.into if isinstance(event, happened.CombinedInto) else None
    said = Cancelled(version=version, reason=event.reason, phase=phase, into=into)
    return _replace(state, phase="cancelled", cancelled=said)


def _lifted(state: ClassState, _: happened.CancellationLifted, __: int) -> ClassState:
    if state.cancelled is None:
        return state
    return _replace(state, phase=state.cancelled.phase, cancelled=None)


def _combined(state: ClassState, event: happened.ClassCombined, version: int) -> ClassState:
    entries = {
        name: _divided(entry, _divisions(event, name), version)
        for name, entry in state.entries.items()
    }
    combined = (*state.combined, Known(version, event))
    return _replace(state, entries=entries, combined=combined, changed_at=version)


def _divisions(event: happened.ClassCombined, entry: str) -> tuple[str, ...]:
    both = entry in event.both
    return (event.own_division, event.division) if both else (event.own_division,)


def _divided(entry: Entry, further: Iterable[str], version: int) -> Entry:
    divisions = tuple(dict.fromkeys((*entry.divisions, *further)))
    if divisions == entry.divisions:
        return entry
    return _replace(entry, divisions=divisions, divided_at=version)


def _rescheduled(state: ClassState, event: happened.ClassRescheduled, version: int) -> ClassState:
    if state.scheduled is None:
        return state
    scheduled = _replace(
        state.scheduled, name=event.name, number=event.number, ring=event.ring, day=event.day
    )
    return _replace(state, scheduled=scheduled, changed_at=version)


def _panel_changed(state: ClassState, event: happened.PanelChanged, version: int) -> ClassState:
    return _replace(_with_panel(state, event.panel), changed_at=version)


def _with_panel(state: ClassState, panel: PanelChoice | None) -> ClassState:
    if state.scheduled is None:
        return state
    return _replace(state, scheduled=_replace(state.scheduled, panel=panel))


def _judge_unseated(state: ClassState, event: happened.JudgeUnseated, version: int) -> ClassState:
    cards = {seat: card for seat, card in state.cards.items() if seat != event.seat}
    return _replace(state, cards=cards, changed_at=version)


def _judge_replaced(state: ClassState, event: happened.JudgeReplaced, version: int) -> ClassState:
    card = state.cards.get(event.seat)
    if card is None:
        return state
    before = (*card.before, (card.judge, version))
    card = _replace(card, judge=event.judge, before=before, version=version)
    changed_at = state.changed_at if card.kind == "learner" else version
    return _replace(state, cards={**state.cards, event.seat: card}, changed_at=changed_at)


def _seat_closed(state: ClassState, event: happened.SeatClosed, version: int) -> ClassState:
    card = state.cards.get(event.seat)
    if card is None:
        return state
    if event.panel is not None:
        state = _with_panel(state, event.panel)
    cards = {**state.cards, event.seat: _replace(card, kind="closed", version=version)}
    return _replace(state, cards=cards, changed_at=version)


CHANGE_HANDLERS: Mapping[type[Event], Callable[[ClassState, Any, int], ClassState]] = {
    happened.ClassCancelled: _cancelled,
    happened.CancellationLifted: _lifted,
    happened.ClassCombined: _combined,
    happened.CombinedInto: _cancelled,
    happened.ClassRescheduled: _rescheduled,
    happened.PanelChanged: _panel_changed,
    happened.JudgeUnseated: _judge_unseated,
    happened.JudgeReplaced: _judge_replaced,
    happened.SeatClosed: _seat_closed,
}
