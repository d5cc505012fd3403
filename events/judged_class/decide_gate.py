"""Decisions at the gate of a class."""

from events.envelope import Event
from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.judged_class.decide_setup import refuse_judged, refuse_signed
from events.judged_class.references import entry_meant, running_entry
from events.judged_class.state import ClassState
from events.refusals import Refusal
from events.rulebook.model import RuleBook

GATE_CALLS = 3
"""How often an entry is called where its rule book does not say: South Plains, 2015 (abcdocz
995603), and common practice."""


def gate_calls(rulebook: RuleBook) -> int:
    """How often an entry is called to the gate."""
    return (rulebook.draw and rulebook.draw.gate_calls) or GATE_CALLS


def call_entry(state: ClassState, command: ask.CallEntry, rulebook: RuleBook) -> tuple[Event, ...]:
    """Calls to the gate go up one by one to the last."""
    entry = running_entry(state, command.ref)
    last = gate_calls(rulebook)
    if command.call <= entry.calls and command.call >= 1:
        return ()
    if command.call != entry.calls + 1 or command.call > last:
        raise Refusal(
            "call_out_of_turn",
            f"Calls made so far for back number {entry.back_number}: {entry.calls} of "
            f"{last}; call {command.call} is out of turn.",
            field="call",
            rule=f"{rulebook.id} {rulebook.edition}, draw" if rulebook.draw else None,
            calls=entry.calls,
        )
    return (happened.EntryCalled(entry=entry.id, call=command.call),)


def miss_gate(
    state: ClassState, command: ask.RecordMissedGate, rulebook: RuleBook
) -> tuple[Event, ...]:
    """An entry misses the gate only if the rule book says what becomes of it."""
    entry = entry_meant(state, command.ref)
    if entry.gate is not None and isinstance(entry.gate.event, happened.EntryMissedGate):
        return ()
    entry = running_entry(state, command.ref)
    _check_known(rulebook, "missed_gate")
    refuse_judged(state, entry, "recorded as having missed the gate")
    return (happened.EntryMissedGate(entry=entry.id),)


def excuse(state: ClassState, command: ask.ExcuseEntry, rulebook: RuleBook) -> tuple[Event, ...]:
    """An entry is excused until a judge who saw it has signed, also in the middle of its ride."""
    entry = entry_meant(state, command.ref)
    if entry.gate is not None and isinstance(entry.gate.event, happened.EntryExcused):
        return ()
    entry = running_entry(state, command.ref)
    _check_known(rulebook, "excused")
    refuse_signed(state, entry)
    return (happened.EntryExcused(entry=entry.id, reason=command.reason),)


def out_of_order(state: ClassState, command: ask.RecordOutOfOrder) -> tuple[Event, ...]:
    """It is recorded that an entry rode out of turn; its judge calls what becomes of it."""
    entry = running_entry(state, command.ref)
    if entry.out_of_order:
        return ()
    return (happened.EntryOutOfOrder(entry=entry.id),)


def grant_reride(state: ClassState, command: ask.GrantReride) -> tuple[Event, ...]:
    """An entry that has been marked rides again while every judge's card is open."""
    entry = running_entry(state, command.ref)
    if not any(entry.id in card.rides for card in state.cards.values()):
        return ()
    signed = tuple(c.seat for c in state.cards.values() if c.signed and c.kind == "judge")
    if signed:
        raise Refusal(
            "card_is_signed",
            f"The card of seat {', '.join(signed)} is signed; give it back to its judge first.",
            rule="an entry rides again only while every judge's card is open",
            seats=signed,
        )
    return (happened.RerideGranted(entry=entry.id, reason=command.reason),)


def change_horse(state: ClassState, command: ask.ChangeHorse) -> tuple[Event, ...]:
    """An exhibitor changes horses before any judge has begun to mark the ride."""
    entry = running_entry(state, command.ref)
    if entry.horse == command.horse:
        return ()
    refuse_judged(state, entry, "given another horse")
    return (
        happened.HorseChanged(
            entry=entry.id,
            horse=command.horse,
            reason=command.reason,
            checked_at=command.checked_at,
        ),
    )


def _check_known(rulebook: RuleBook, kind: str) -> None:
    if rulebook.outcome(kind) is None:
        raise Refusal(
            "outcome_not_in_rule_book",
            f"The rule book {rulebook.title} does not know the outcome {kind.replace('_', ' ')}.",
            rule=f"{rulebook.id} {rulebook.edition}, outcomes",
            kind=kind,
        )
