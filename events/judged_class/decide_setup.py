"""Decisions while a class is set up."""

import msgspec

from events.envelope import Event
from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.judged_class.decide_panel import check_panel, refuse_numberless
from events.judged_class.references import entry_meant
from events.judged_class.state import Card, ClassState, Entry
from events.refusals import Refusal


def schedule(state: ClassState, command: ask.ScheduleClass) -> tuple[Event, ...]:
    """The class stands on the schedule once."""
    if not command.name.strip():
        raise Refusal("name_missing", "A class needs a name.", field="name")
    event = happened.ClassScheduled(
        show=command.show,
        name=command.name,
        rulebook=command.rulebook,
        number=command.number,
        ring=command.ring,
        day=command.day,
        panel=command.panel,
        round=command.round,
    )
    if command.panel is not None:
        check_panel(command.panel)
        refuse_numberless(command.panel, command.number)
    if command.round is not None and command.round.carries and command.round.after is None:
        raise Refusal(
            "round_carries_nothing",
            "Totals are carried from a class: name the round before.",
            field="round.after",
        )
    return () if state.scheduled == event else (event,)


def set_pattern(state: ClassState, command: ask.SetPattern) -> tuple[Event, ...]:
    """The pattern has at least one maneuver and every maneuver a name."""
    if not command.maneuvers:
        raise Refusal("pattern_empty", "A pattern has at least one maneuver.", field="maneuvers")
    for index, maneuver in enumerate(command.maneuvers):
        if not maneuver.strip():
            raise Refusal(
                "maneuver_unnamed", "Every maneuver needs a name.", field=f"maneuvers[{index}]"
            )
    event = happened.PatternSet(maneuvers=command.maneuvers, name=command.name)
    return () if state.pattern == event else (event,)


def accept_entry(state: ClassState, command: ask.AcceptEntry) -> tuple[Event, ...]:
    """An entry is taken once, under a back number that nobody else in the class carries."""
    if command.back_number < 1:
        raise Refusal("back_number_not_positive", "Back numbers count from 1.", field="back_number")
    for index, division in enumerate(command.divisions):
        if division.casefold() in map(str.casefold, command.divisions[:index]):
            raise Refusal(
                "division_named_twice",
                f"The entry names the division {division} twice.",
                field=f"divisions[{index}]",
            )
    event = happened.EntryAccepted(
        entry=command.entry,
        back_number=command.back_number,
        exhibitor=command.exhibitor,
        horse=command.horse,
        divisions=command.divisions,
        carried=command.carried,
        late=command.late,
        checked_at=command.checked_at,
    )
    known = state.entries.get(command.entry)
    if known is not None:
        if known.scratched is not None:
            raise Refusal(
                "entry_scratched",
                f"Back number {known.back_number} was scratched under that id; enter it anew "
                "under another.",
                field="entry",
                entry=known.id,
                back_number=known.back_number,
            )
        if _accepted(known) == msgspec.structs.replace(event, checked_at=None):
            return ()
        raise Refusal(
            "entry_id_taken",
            "That entry id belongs to another entry.",
            field="entry",
            entry=command.entry,
        )
    for other in state.entries.values():
        if other.back_number == command.back_number and other.scratched is None:
            raise Refusal(
                "back_number_taken",
                f"Back number {command.back_number} is carried by another entry of this class.",
                field="back_number",
                back_number=command.back_number,
                entry=other.id,
            )
    return (event,)


def _accepted(entry: Entry) -> happened.EntryAccepted:
    """How an entry was accepted, whenever it was checked."""
    return happened.EntryAccepted(
        entry=entry.id,
        back_number=entry.back_number,
        exhibitor=entry.exhibitor,
        horse=entry.horse,
        divisions=entry.divisions,
        carried=entry.carried,
        late=entry.late,
    )


def scratch(state: ClassState, command: ask.ScratchEntry) -> tuple[Event, ...]:
    """Only an entry that no judge has begun to mark is scratched."""
    entry = entry_meant(state, command.ref)
    if entry.scratched is not None:
        return ()
    refuse_judged(state, entry, "scratched")
    return (happened.EntryScratched(entry=entry.id, reason=command.reason),)


def _judged_by(state: ClassState, entry: Entry) -> list[Card]:
    """The judges' cards on which something stands for the entry; a learner's never counts."""
    cards = state.cards.values()
    return [card for card in cards if card.kind == "judge" and entry.id in card.rides]


def refuse_signed(state: ClassState, entry: Entry) -> None:
    """Refuse what may only be done while the cards that hold the entry are open."""
    seats = [card.seat for card in _judged_by(state, entry) if card.signed is not None]
    if seats:
        raise Refusal(
            "entry_on_signed_card",
            f"Back number {entry.back_number} stands on a signed card; correct the card instead.",
            field="entry",
            rule="a signed card changes only by a correction",
            entry=entry.id,
            seats=tuple(seats),
        )


def refuse_judged(state: ClassState, entry: Entry, what: str) -> None:
    """Refuse what may only be done before any judge has begun to mark the entry."""
    seats = [card.seat for card in _judged_by(state, entry)]
    if seats:
        raise Refusal(
            "entry_judged",
            f"Back number {entry.back_number} has been judged and can no longer be {what}; "
            "call an outcome instead.",
            field="entry",
            entry=entry.id,
            seats=tuple(seats),
        )
