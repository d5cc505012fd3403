"""Decisions that undo what was decided wrongly about an entry before or at the gate."""

from events.envelope import Actor, Event
from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.judged_class.decide_corrections import check_authority
from events.judged_class.references import entry_meant
from events.judged_class.state import ClassState, Entry
from events.refusals import Refusal


def readmit(state: ClassState, command: ask.ReadmitEntry, actor: Actor) -> tuple[Event, ...]:
    """A missed gate or an excuse is undone; once results were posted somebody stands behind it."""
    entry = entry_meant(state, command.ref)
    if entry.gate is None:
        return ()
    _refuse_scratched(entry)
    if state.revision:
        if command.authority is None:
            raise Refusal(
                "authority_missing",
                "Results have been posted: say on whose word the entry is readmitted.",
                field="authority",
                rule="once results were posted an entry is readmitted on somebody's authority",
            )
        check_authority(state, command.authority, command.protest, actor)
    event = happened.EntryReadmitted(
        entry=entry.id,
        reason=command.reason,
        authority=command.authority,
        protest=command.protest,
    )
    return (event,)


def reinstate(state: ClassState, command: ask.ReinstateEntry) -> tuple[Event, ...]:
    """A scratch is undone unless somebody else carries the back number by now."""
    entry = entry_meant(state, command.ref)
    if entry.scratched is None:
        return ()
    for other in state.entries.values():
        if other.back_number == entry.back_number and other.scratched is None:
            raise Refusal(
                "back_number_taken",
                f"Back number {entry.back_number} is carried by another entry by now.",
                field="entry",
                back_number=entry.back_number,
                entry=other.id,
            )
    event = happened.EntryReinstated(
        entry=entry.id, reason=command.reason, office_error=command.office_error
    )
    return (event,)


def _refuse_scratched(entry: Entry) -> None:
    if entry.scratched is not None:
        raise Refusal(
            "entry_scratched",
            f"Back number {entry.back_number} was scratched; reinstate it first.",
            field="entry",
            entry=entry.id,
            back_number=entry.back_number,
        )
