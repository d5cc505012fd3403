"""Results for the board: places, what settled them, until when they may be protested."""

from collections.abc import Iterator, Sequence
from typing import ClassVar

import msgspec

from events.envelope import stream_of
from events.projections.placing import (
    ClassPlacing,
    DivisionPlacing,
    PanelPlacing,
    PanelRow,
    PlacingRow,
    SeatPlacing,
    SectionPlacing,
    cautions,
)
from events.scoring.exact import to_words
from service.desk.caller import Caller
from service.desk.desk import Desk
from service.desk.look import ClassLook, placing_of
from service.desk.moments import event_of
from service.print.about import class_head, clock_of, judge_of, planned_of
from service.print.press import Sheet
from service.print.revision import Revision, revision_of
from service.print.seal import Seal, seal_of
from service.print.words import (
    METHODS,
    Clock,
    outcome_words,
    place_words,
    points,
    seconds,
    step_words,
)


class ResultRow(msgspec.Struct, frozen=True, kw_only=True):
    """One entry's line; ``figure`` is its total, its time, or what the panel ranks by."""

    place: str
    back_number: str
    rider: str
    horse: str
    figure: str
    remark: str


class ResultTable(msgspec.Struct, frozen=True, kw_only=True):
    """One placing: of a judge, or of the judges together; ``note`` where it is not complete."""

    title: str
    figure: str
    rows: tuple[ResultRow, ...]
    note: str = ""


class ResultPart(msgspec.Struct, frozen=True, kw_only=True):
    """The placings of the class, of one of its sections, or of a division."""

    title: str
    tables: tuple[ResultTable, ...]


class Results(Sheet, frozen=True, kw_only=True):
    """The results of a class as they stand.

    ``status`` says what they are worth, ``until`` what follows from it. ``warnings`` come first
    of all; ``meanings`` are the rule book's words for the outcomes that occur.
    """

    TEMPLATE: ClassVar[str] = "results"

    status: str
    until: str
    parts: tuple[ResultPart, ...]
    warnings: tuple[str, ...]
    meanings: tuple[tuple[str, str], ...]
    revision: Revision | None
    seal: Seal | None


def results(desk: Desk, caller: Caller, seen: ClassLook) -> Results:
    """The results of a class as the caller may see them."""
    placing = placing_of(seen)
    status, until = _status(desk, seen)
    return Results(
        head=class_head(desk, seen, "Results", (("Class size", str(placing.class_size)),)),
        status=status,
        until=until,
        parts=tuple(_parts(seen, placing)),
        warnings=(
            *_overtaken(desk, seen),
            *(each.says for each in cautions(placing) if each.kind == "stale_order"),
        ),
        meanings=_meanings(seen, placing),
        revision=revision_of(desk, caller, seen),
        seal=seal_of(desk, caller, seen),
    )


def _status(desk: Desk, seen: ClassLook) -> tuple[str, str]:
    state = seen.state
    clock = clock_of(planned_of(desk, seen.show))
    match state.phase:
        case "official":
            at = clock.moment(event_of(desk, seen.id, state.official_at).recorded_at)
            return f"Official results, revision {state.revision}", f"Made official {at}."
        case "posted":
            at = clock.moment(event_of(desk, seen.id, state.posted_at).recorded_at)
            said = f"Posted {at}. {_protests(seen, clock)}"
            return f"Posted results, revision {state.revision}; not official yet", said
        case "reopened":
            said = f"Revision {state.revision} was opened again and does not stand."
            return "Working copy: results reopened", said
        case "cancelled":
            into = state.cancelled.into if state.cancelled else None
            held = f"It is held within class {into}." if into else "It is not held."
            return "Class cancelled", held
        case _:
            return "Working copy: results not posted", "Nothing on this paper is final."


def _overtaken(desk: Desk, seen: ClassLook) -> Iterator[str]:
    """What has become of posted or official results since the moment that is looked at."""
    now = desk.classes.latest(stream_of("class", seen.id)).state
    if seen.state.phase not in {"posted", "official"}:
        return
    if now.revision > seen.state.revision:
        yield f"Revision {now.revision} has taken the place of this one."
    elif now.phase == "reopened":
        yield "These results have been opened again since, and do not stand for now."


def _protests(seen: ClassLook, clock: Clock) -> str:
    until = seen.state.protests_until
    if seen.book.protests is None:
        return "The rule book says nothing of protests: ask the steward."
    if until is None:
        return "The rule book sets no end to the time for protests."
    return f"Protests are taken in until {clock.moment(until)}."


def _parts(seen: ClassLook, placing: ClassPlacing) -> Iterator[ResultPart]:
    for section in placing.sections:
        title = f"Section {section.section}, class size {section.class_size}"
        yield ResultPart(title=title, tables=tuple(_tables(seen, section)))
        yield from _divisions(seen, section.divisions, f"Section {section.section}, division")
    if not placing.sections:
        yield ResultPart(title="", tables=tuple(_tables(seen, placing)))
        yield from _divisions(seen, placing.divisions, "Division")


def _divisions(
    seen: ClassLook, divisions: Sequence[DivisionPlacing], of: str
) -> Iterator[ResultPart]:
    for division in divisions:
        title = f"{of} {division.name}, class size {division.class_size}"
        yield ResultPart(title=title, tables=tuple(_tables(seen, division)))


def _tables(
    seen: ClassLook, of: ClassPlacing | SectionPlacing | DivisionPlacing
) -> Iterator[ResultTable]:
    if of.panel.method != "separate":
        yield _together(seen, of.panel)
    yield from (_of_seat(seen, seat) for seat in of.seats if seat.kind == "judge")


def _together(seen: ClassLook, panel: PanelPlacing) -> ResultTable:
    return ResultTable(
        title=f"The judges together: {METHODS[panel.method]}",
        figure="Figure",
        rows=tuple(_panel_row(seen, row) for row in panel.rows),
        note=panel.open or _nobody(panel.rows),
    )


def _of_seat(seen: ClassLook, seat: SeatPlacing) -> ResultTable:
    return ResultTable(
        title=f"Judge {seat.seat}: {judge_of(seen, seen.state.cards[seat.seat])}",
        figure={"timed": "Time, s", "placed": ""}.get(seen.book.judging, "Total"),
        rows=tuple(_row(seen, row) for row in seat.rows),
        note=_nobody(seat.rows) if seat.signed or not seat.rows else "This card is not signed.",
    )


def _nobody(rows: Sequence[object]) -> str:
    return "" if rows else "No entry is in this class."


def _row(seen: ClassLook, row: PlacingRow) -> ResultRow:
    return ResultRow(
        place=place_words(row.place, tied=row.tied),
        back_number=str(row.back_number),
        rider=_rider(seen, row.entry),
        horse=_horse(seen, row.entry),
        figure=points(row.total) if row.milliseconds is None else seconds(row.milliseconds),
        remark="; ".join(_remarks(seen, row)),
    )


def _panel_row(seen: ClassLook, row: PanelRow) -> ResultRow:
    return ResultRow(
        place=place_words(row.place, tied=row.tied),
        back_number=str(row.back_number),
        rider=_rider(seen, row.entry),
        horse=_horse(seen, row.entry),
        figure="" if row.figure is None else to_words(row.figure),
        remark=f"settled by {step_words(row.parted_by, seen.book)}" if row.parted_by else "",
    )


def _remarks(seen: ClassLook, row: PlacingRow) -> Iterator[str]:
    if row.outcome is not None:
        yield outcome_words(row.outcome)
    if not row.complete:
        yield "not all marked"
    if row.parted_by is not None:
        yield f"settled by {step_words(row.parted_by, seen.book)}"
    if row.stale:
        yield "the order is stale"


def _rider(seen: ClassLook, entry: str) -> str:
    return seen.names.person(seen.state.entries[entry].exhibitor)


def _horse(seen: ClassLook, entry: str) -> str:
    horse = seen.state.entries[entry].horse
    return "" if horse is None else seen.names.horse(horse)


def _meanings(seen: ClassLook, placing: ClassPlacing) -> tuple[tuple[str, str], ...]:
    kinds = {row.outcome for seat in placing.seats for row in seat.rows}
    return tuple(
        (outcome_words(rule.kind), rule.wording)
        for rule in seen.book.outcomes
        if rule.kind in kinds
    )
