"""Entries of a class imported from a table: every fault is listed, and all are written or none."""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

import msgspec

from events.envelope import Event, stream_of
from events.half_points import HalfPoints
from events.judged_class.commands import AcceptEntry
from events.judged_class.evolve import evolve
from events.judged_class.state import ClassState
from events.refusals import Refusal
from service.desk import eligibility, office_rules, registered
from service.desk.caller import Ask, Receipt
from service.desk.carry_out import on_class, receipt, scheduled
from service.desk.classes import decided_on
from service.desk.desk import Desk
from service.desk.fingerprint import fingerprint
from service.desk.sheets import CellFault, Row

REQUIRED = ("back_number", "exhibitor")
_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._~-]{0,63}")
_NUMBER = re.compile(r"[1-9]\d{0,4}|100000", re.ASCII)
_POINTS = re.compile(r"(-?\d{1,4})(?:[.,]([05])0*)?", re.ASCII)
_LONGEST_DIVISION = 60
YES_OR_NO = {"": False, "no": False, "false": False, "0": False} | {
    "yes": True,
    "true": True,
    "1": True,
}


class Line(msgspec.Struct, frozen=True, kw_only=True):
    """One row of the table, read."""

    row: int
    entry: AcceptEntry


class Imported(msgspec.Struct, frozen=True, kw_only=True):
    """What came of an import: every fault, in row order, and the receipt where it was written."""

    entries: int
    faults: tuple[CellFault, ...] = ()
    receipt: Receipt | None = None


class ImportRefused(Refusal):
    """A table with faults, of which nothing was written."""

    def __init__(self, faults: Sequence[CellFault]) -> None:
        super().__init__("import_refused", f"The table has {len(faults)} faults.")
        self.faults = tuple(faults)


def tried(desk: Desk, ask: Ask, class_id: str, rows: Sequence[Row]) -> Imported:
    """What an import would come to; nothing is written."""
    state = scheduled(desk.classes.latest(stream_of("class", class_id)).state, class_id, ask)
    lines, faults = read(rows, ask.made_id())
    _, refused = _accepted(desk, ask, class_id, state, lines)
    return Imported(entries=len(lines), faults=_in_order((*faults, *refused)))


def imported(desk: Desk, ask: Ask, class_id: str, rows: Sequence[Row]) -> Imported:
    """Enter everything in the table; ``ImportRefused`` with every fault, and nothing is written."""
    lines, faults = read(rows, ask.made_id())

    def decided(state: ClassState) -> Sequence[Event]:
        scheduled(state, class_id, ask)
        events, refused = _accepted(desk, ask, class_id, state, lines)
        if found := _in_order((*faults, *refused)):
            raise ImportRefused(found)
        return events

    asked = fingerprint("import", class_id, tuple(row.cells for row in rows))
    done = on_class(desk, ask, class_id, decided, asked=asked)
    return Imported(entries=len(lines), receipt=receipt(class_id, done))


def read(rows: Sequence[Row], made_id: str) -> tuple[tuple[Line, ...], tuple[CellFault, ...]]:
    """The lines that can be read, and the faults of the others.

    A row without an entry id is given one that is the same whenever the command is sent again.
    """
    filled = [row for row in rows if not row.empty]
    if not filled:
        return (), (CellFault(row=1, says="The table is empty."),)
    header, *further = filled
    columns = [name.lower().replace(" ", "_") for name in header.cells]
    faults = list(_header_faults(header, columns))
    if faults:
        return (), tuple(faults)
    if not further:
        return (), (CellFault(row=header.number, says="There are no entries below the header."),)
    lines = []
    for row in further:
        wrong = list(_cell_faults(row, columns))
        given, unread = _read_cells(row, columns)
        faults.extend(wrong or unread)
        if not wrong and not unread:
            entry = AcceptEntry(**{"entry": f"{made_id}-{row.number}", **given})
            lines.append(Line(row=row.number, entry=entry))
    return tuple(lines), tuple(faults)


def _accepted(
    desk: Desk, ask: Ask, class_id: str, state: ClassState, lines: Sequence[Line]
) -> tuple[tuple[Event, ...], tuple[CellFault, ...]]:
    """The events of the lines that can be entered, and why the others cannot."""
    assert state.scheduled is not None  # noqa: S101 - looked at before
    show = desk.shows.latest(stream_of("show", state.scheduled.show)).state
    if any(line.entry.entry not in state.entries for line in lines):
        office_rules.check_in_time(desk, ask, show, class_id, "late_entry")
    facts = eligibility.known(
        desk.database,
        (line.entry.exhibitor for line in lines),
        (line.entry.horse for line in lines),
    )
    held_on = eligibility.day_of(show, class_id, state)
    events: list[Event] = []
    faults = []
    for line in lines:
        try:
            registered.check(desk.database, line.entry)
            office_rules.check_number(show, line.entry)
            found = decided_on(desk, ask, state, eligibility.stamped(show, line.entry))
        except Refusal as refusal:
            if refusal.field is None:
                raise
            faults.append(_fault(line, refusal))
            continue
        if found:
            against = eligibility.of_entry(show, class_id, facts, line.entry, held_on)
            faults.extend(_fault(line, reason) for reason in against)
        for event in found:
            events.append(event)
            state = evolve(state, event)  # type: ignore[arg-type]  # a class decides class events
    return tuple(events), tuple(faults)


def _fault(line: Line, refusal: Refusal) -> CellFault:
    """What is wrong in a row, in the column that the part of the entry stands in."""
    column = (refusal.field or "").partition("[")[0]
    return CellFault(row=line.row, column=column, says=refusal.message)


def _header_faults(header: Row, columns: Sequence[str]) -> Iterator[CellFault]:
    for at, why in header.refused:
        yield CellFault(row=header.number, column=f"column {at + 1}", says=why)
    for at, name in enumerate(columns):
        if name and name not in READ:
            yield CellFault(
                row=header.number,
                column=name,
                says=f"No column is called {name}; there are: {', '.join(READ)}.",
            )
        elif name and name in columns[:at]:
            yield CellFault(row=header.number, column=name, says="The column stands there twice.")
    for name in REQUIRED:
        if name not in columns:
            yield CellFault(row=header.number, column=name, says="The column is missing.")


def _cell_faults(row: Row, columns: Sequence[str]) -> Iterator[CellFault]:
    for at, why in row.refused:
        name = columns[at] if at < len(columns) and columns[at] else f"column {at + 1}"
        yield CellFault(row=row.number, column=name, says=why)
    for at, cell in enumerate(row.cells):
        if cell and (at >= len(columns) or not columns[at]):
            says = "Something stands here, in a column without a name."
            yield CellFault(row=row.number, column=f"column {at + 1}", says=says)
    given = dict(zip(columns, row.cells, strict=False))
    refused = {at for at, _ in row.refused}
    for name in REQUIRED:
        if not given.get(name) and columns.index(name) not in refused:
            yield CellFault(row=row.number, column=name, says="It is missing.")


def _read_cells(row: Row, columns: Sequence[str]) -> tuple[dict[str, Any], list[CellFault]]:
    given: dict[str, Any] = {}
    faults = []
    for name, cell in zip(columns, row.cells, strict=False):
        if not name or not cell:
            continue
        try:
            given[name] = READ[name](cell)
        except ValueError as error:
            faults.append(CellFault(row=row.number, column=name, says=str(error)))
    return given, faults


def _name(cell: str) -> str:
    if not _NAME.fullmatch(cell):
        raise ValueError("Not an id: letters, digits, '.', '_', '~' and '-', at most 64 of them.")
    return cell


def _number(cell: str) -> int:
    if not _NUMBER.fullmatch(cell):
        raise ValueError("Not a back number: a whole number from 1 to 100000.")
    return int(cell)


def _points(cell: str) -> HalfPoints:
    found = _POINTS.fullmatch(cell)
    if found is None:
        raise ValueError("Not points by halves, such as 72.5.")
    half = 1 if found[2] == "5" else 0
    return int(found[1]) * 2 + (-half if cell.startswith("-") else half)


def _divisions(cell: str) -> tuple[str, ...]:
    names = tuple(name.strip() for name in cell.split(";") if name.strip())
    if any(len(name) > _LONGEST_DIVISION or not name.isprintable() for name in names):
        raise ValueError(f"A division's name has at most {_LONGEST_DIVISION} ordinary characters.")
    return names


def _yes(cell: str) -> bool:
    if cell.lower() not in YES_OR_NO:
        raise ValueError("Say yes or no.")
    return YES_OR_NO[cell.lower()]


READ: Mapping[str, Callable[[str], Any]] = {
    "entry": _name,
    "back_number": _number,
    "exhibitor": _name,
    "horse": _name,
    "divisions": _divisions,
    "carried": _points,
    "late": _yes,
}
"""The columns of a table, and how their cells are read."""


def _in_order(faults: Sequence[CellFault]) -> tuple[CellFault, ...]:
    return tuple(sorted(faults, key=lambda fault: fault.row))
