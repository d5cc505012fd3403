"""Placings as tables that a show secretary reads at a glance."""

from collections.abc import Callable, Iterator, Sequence

from events.half_points import to_text
from events.projections.placing import ClassPlacing, PlacingRow, SeatPlacing
from service.demo.sentences import Speaker
from service.sheet.explain import outcome_word
from service.sheet.grid import Column, grid

_WIDE = 200
_STEPS = {
    "rail_work": "by rail work",
    "run_off": "by a run-off",
    "judges_decision": "by the judge's decision",
}


def tables(of: ClassPlacing, speaker: Speaker) -> Iterator[str]:
    """Every seat's placing so far, with what is still to come."""
    for seat in of.seats:
        if len(of.seats) > 1:
            yield f"Seat {seat.seat}, {speaker.names.person(seat.judge)}"
        rows = [row for row in seat.rows if row.complete]
        columns = [
            _words("Place", rows, _place),
            *_who(rows, speaker),
            _numbers("Total", rows, _total),
            _words("", rows, _note),
        ]
        yield from grid(columns, _WIDE)
        waiting = len(seat.rows) - len(rows)
        if waiting:
            yield f"Still to go: {waiting}."


def what_if_table(now: SeatPlacing, then: SeatPlacing, speaker: Speaker) -> Iterator[str]:
    """The entries that would move, as they would stand, with what they stand at now."""
    standing = {row.entry: row for row in now.rows}
    rows = [row for row in then.rows if _stands_at(row) != _stands_at(standing[row.entry])]
    columns = [
        _words("Place", rows, _place),
        _words("(now)", rows, lambda row: _place(standing[row.entry])),
        *_who(rows, speaker),
        _numbers("Total", rows, _total),
        _numbers("(now)", rows, lambda row: _total(standing[row.entry])),
    ]
    yield from grid(columns, _WIDE)


def _stands_at(row: PlacingRow) -> tuple[str, str]:
    return _place(row), _total(row)


def _who(rows: Sequence[PlacingRow], speaker: Speaker) -> Iterator[Column]:
    yield _numbers("Back", rows, lambda row: str(row.back_number))
    yield _words("Rider", rows, lambda row: speaker.rider(row.entry))
    yield _words("Horse", rows, lambda row: speaker.horse(row.entry))


def _place(row: PlacingRow) -> str:
    return "-" if row.place is None else f"{row.place}{'=' if row.tied else ''}"


def _total(row: PlacingRow) -> str:
    return "-" if row.total is None else to_text(row.total)


def _note(row: PlacingRow) -> str:
    notes = [outcome_word(row.outcome)] if row.outcome else []
    if row.parted_by is not None and row.place is not None:
        notes.append(_STEPS.get(row.parted_by, row.parted_by.replace("_", " ")))
    return ", ".join(notes)


def _words(heading: str, rows: Sequence[PlacingRow], cell: Callable[[PlacingRow], str]) -> Column:
    return Column(heading=heading, cells=tuple(map(cell, rows)))


def _numbers(heading: str, rows: Sequence[PlacingRow], cell: Callable[[PlacingRow], str]) -> Column:
    return Column(heading=heading, cells=tuple(map(cell, rows)), right=True)
