"""What keeps the judges' cards of a sheet from being combined."""

from collections.abc import Iterator

from events.judged_class.panel import panel_result
from events.judged_class.state import ClassState
from events.rulebook.model import RuleBook
from service.sheet.faults import SheetFault


def panel_faults(state: ClassState, book: RuleBook) -> Iterator[SheetFault]:
    """A seat that did not finish, by name, or settings that do not fit: never a wrong result."""
    result = panel_result(state, book)
    for seat, entries in result.unfinished:
        left = ", ".join(entries)
        yield SheetFault(
            "$.panel",
            f"The cards cannot be combined: seat {seat} has not finished; entry {left} is open.",
        )
    if result.unfit is not None:
        yield SheetFault("$.panel", f"The cards cannot be combined: {result.unfit}")
