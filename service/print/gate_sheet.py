"""The gate's sheet: who comes in which order, whom the gate has called, who does not come."""

from collections.abc import Iterator
from typing import ClassVar

import msgspec

from events.judged_class.decide_gate import gate_calls
from events.judged_class.events import EntryMissedGate
from events.judged_class.state import ClassState, Entry
from events.scoring.exact import ordinal
from service.desk.desk import Desk
from service.desk.look import ClassLook
from service.print.about import class_head
from service.print.press import Sheet


class GateRow(msgspec.Struct, frozen=True, kw_only=True):
    """One entry; ``calls`` says of each call whether it was made."""

    working_order: str
    back_number: str
    rider: str
    horse: str
    calls: tuple[bool, ...]
    scratched: bool
    remark: str


class GateSheet(Sheet, frozen=True, kw_only=True):
    """The whole sheet, scratched entries in it where they were drawn; a column for each call."""

    TEMPLATE: ClassVar[str] = "gate-sheet"

    calls: tuple[str, ...]
    rows: tuple[GateRow, ...]


def gate_sheet(desk: Desk, seen: ClassLook) -> GateSheet:
    """The gate's sheet of a class as it is looked at."""
    rows = tuple(_row(seen, entry) for entry in _in_order(seen.state))
    coming = sum(not row.scratched for row in rows)
    return GateSheet(
        head=class_head(desk, seen, "Gate sheet", (("Entries", str(coming)),)),
        calls=tuple(ordinal(call) for call in range(1, gate_calls(seen.book) + 1)),
        rows=rows,
    )


def _in_order(state: ClassState) -> Iterator[Entry]:
    """Every entry, scratched ones too, in working order; those not drawn come last."""
    yield from (state.entries[entry] for entry in state.draw if entry in state.entries)
    yield from (entry for entry in state.entries.values() if entry.id not in state.draw)


def _row(seen: ClassLook, entry: Entry) -> GateRow:
    number = seen.state.working_order(entry.id)
    return GateRow(
        working_order="" if number is None else str(number),
        back_number=str(entry.back_number),
        rider=seen.names.person(entry.exhibitor),
        horse=seen.names.horse(entry.horse) if entry.horse is not None else "",
        calls=tuple(call <= entry.calls for call in range(1, gate_calls(seen.book) + 1)),
        scratched=entry.scratched is not None,
        remark="; ".join(_remarks(seen.state, entry)).capitalize(),
    )


def _remarks(state: ClassState, entry: Entry) -> Iterator[str]:
    if entry.scratched is not None:
        yield "scratched"
    elif entry.gate is not None:
        missed = isinstance(entry.gate.event, EntryMissedGate)
        yield "missed the gate" if missed else "excused"
    if entry.scratched is None and entry.id not in state.draw:
        yield "not drawn yet"
    section = state.section(entry.id)
    if section is not None:
        yield f"section {section}"
    if entry.late:
        yield "late entry"
    if entry.out_of_order:
        yield "rode out of order"
