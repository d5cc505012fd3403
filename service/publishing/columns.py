"""What published results hold as tables: the columns of each, and its rows."""

from fractions import Fraction

import msgspec

from events.codec import time_text
from events.half_points import HalfPoints, to_text
from events.projections.compare import Standing
from events.projections.result import (
    CorrectionNote,
    Moved,
    PanelResultPart,
    PanelResultRow,
    ResultRow,
    SeatResult,
)
from events.scoring.exact import to_words
from service.publishing.published import Published
from service.publishing.tables import Column, Table

_NOWHERE = Standing(total=None, outcome=None, place=None, tied=False)


class Line(msgspec.Struct, frozen=True):
    """One entry's line on one judge's card, and what the judges placed together, if they did.

    ``division`` is the one whose entries alone are placed; ``None`` for the whole class.
    """

    of: Published
    seat: SeatResult
    row: ResultRow
    together: PanelResultRow | None
    division: str | None = None


class Change(msgspec.Struct, frozen=True):
    """An entry that stands elsewhere than in the revision before."""

    of: Published
    moved: Moved

    @property
    def before(self) -> Standing:
        """Where it stood; nowhere, when it was not there."""
        return self.moved.before or _NOWHERE

    @property
    def after(self) -> Standing:
        """Where it stands."""
        return self.moved.after or _NOWHERE


class Why(msgspec.Struct, frozen=True):
    """A correction between two revisions."""

    of: Published
    correction: CorrectionNote


def lines(of: Published) -> tuple[Line, ...]:
    """Every line of a revision."""
    together = _by_entry(of.document.panel)
    return tuple(Line(of, seat, row, together.get(row.entry)) for seat, row in of.rows())


def division_lines(of: Published) -> tuple[Line, ...]:
    """Every line of a revision's divisions, or of those of its sections."""
    return tuple(
        Line(of, seat, row, together.get(row.entry), division.name)
        for part in of.document.sections or (of.document,)
        for division in part.divisions
        for together in (_by_entry(division.panel),)
        for seat in division.seats
        for row in seat.rows
    )


def _by_entry(panel: PanelResultPart) -> dict[str, PanelResultRow]:
    return {row.entry: row for row in panel.rows}


def changes(of: Published) -> tuple[Change, ...]:
    """What moved from the revision before."""
    before = of.document.supersedes
    return tuple(Change(of, each) for each in before.moved) if before else ()


def reasons(of: Published) -> tuple[Why, ...]:
    """The corrections since the revision before."""
    before = of.document.supersedes
    return tuple(Why(of, each) for each in before.corrections) if before else ()


def _points(total: HalfPoints | None) -> str | None:
    return None if total is None else to_text(total)


def _seconds(row: ResultRow) -> str | None:
    if row.milliseconds is None:
        return None
    return f"{row.milliseconds // 1000}.{row.milliseconds % 1000:03}"


def _figure(of: PanelResultRow | None) -> str | None:
    return None if of is None or of.figure is None else to_words(Fraction(of.figure))


def _superseded(of: Published) -> int | None:
    return None if of.document.supersedes is None else of.document.supersedes.revision


_LINE: tuple[Column[Line], ...] = (
    Column("seat", "string", "The judge's seat.", lambda x: x.seat.seat),
    Column("judge", "string", "The judge.", lambda x: x.of.names.person(x.seat.judge)),
    Column("entry", "string", "Id of the entry.", lambda x: x.row.entry),
    Column("back_number", "integer", "Back number.", lambda x: x.row.back_number),
    Column(
        "working_order",
        "integer",
        "Place in the draw.",
        lambda x: x.row.working_order,
        optional=True,
    ),
    Column("exhibitor", "string", "Who rode.", lambda x: x.of.exhibitor(x.row.entry)),
    Column("horse", "string", "The horse.", lambda x: x.of.horse(x.row.entry), optional=True),
    Column(
        "place",
        "integer",
        "The place on this judge's card; empty where none is taken.",
        lambda x: x.row.place,
        optional=True,
    ),
    Column("tied", "boolean", "Whether the place is shared.", lambda x: x.row.tied),
    Column("total", "number", "Points.", lambda x: _points(x.row.total), optional=True),
    Column(
        "outcome",
        "string",
        "What else the ride was called.",
        lambda x: x.row.outcome,
        optional=True,
    ),
    Column("seconds", "number", "The time, of a timed class.", lambda x: _seconds(x.row), True),
    Column(
        "panel_place",
        "integer",
        "The place by all judges together; empty where each card is a result of its own.",
        lambda x: x.together.place if x.together else None,
        optional=True,
    ),
    Column(
        "panel_tied",
        "boolean",
        "Whether the place by all judges together is shared.",
        lambda x: x.together.tied if x.together else None,
        optional=True,
    ),
    Column(
        "panel_figure",
        "string",
        "What the judges together are ranked by, exact: 212.5, or 7/3.",
        lambda x: _figure(x.together),
        optional=True,
    ),
    Column(
        "section",
        "integer",
        "The section in which the places are; empty where the class was ridden as one.",
        lambda x: x.row.section,
        optional=True,
    ),
)

RESULTS: Table[Line] = Table(
    name="results",
    title="Official results, a row for each entry on each judge's card",
    key=("class", "revision", "seat", "entry"),
    columns=(
        Column("class", "string", "Id of the class.", lambda x: x.of.document.class_id),
        Column("class_name", "string", "Name of the class.", lambda x: x.of.document.name),
        Column("revision", "integer", "Which revision.", lambda x: x.of.document.revision),
        *_LINE,
    ),
)

DIVISIONS: Table[Line] = Table(
    name="divisions",
    title="Official results among the entries of each division alone",
    key=("class", "revision", "division", "seat", "entry"),
    columns=(
        Column("class", "string", "Id of the class.", lambda x: x.of.document.class_id),
        Column("class_name", "string", "Name of the class.", lambda x: x.of.document.name),
        Column("revision", "integer", "Which revision.", lambda x: x.of.document.revision),
        Column("division", "string", "Whose entries alone are placed.", lambda x: x.division),
        *_LINE,
    ),
)

PUBLICATIONS: Table[Published] = Table(
    name="publications",
    title="Every revision of official results that was published",
    key=("class", "revision"),
    columns=(
        Column("class", "string", "Id of the class.", lambda x: x.document.class_id),
        Column("class_name", "string", "Name of the class.", lambda x: x.document.name),
        Column(
            "class_number",
            "integer",
            "Number in the prize list.",
            lambda x: x.document.number,
            optional=True,
        ),
        Column("revision", "integer", "Which revision.", lambda x: x.document.revision),
        Column("rulebook", "string", "Rule book.", lambda x: x.document.rulebook.id),
        Column(
            "rulebook_edition",
            "string",
            "Edition.",
            lambda x: x.document.rulebook.edition,
            optional=True,
        ),
        Column("class_size", "integer", "Entries counted.", lambda x: x.document.class_size),
        Column("version", "integer", "Version of the class.", lambda x: x.document.version),
        Column("position", "integer", "Position in the log.", lambda x: x.document.position),
        Column(
            "official_at",
            "datetime",
            "When it became official.",
            lambda x: time_text(x.document.official_at),
        ),
        Column(
            "published_at",
            "datetime",
            "When it was published.",
            lambda x: time_text(x.publication.published_at),
        ),
        Column(
            "supersedes",
            "integer",
            "The revision that it takes the place of.",
            _superseded,
            optional=True,
        ),
    ),
)

CHANGES: Table[Change] = Table(
    name="changes",
    title="What moved from one revision to the next",
    key=("class", "revision", "seat", "entry"),
    columns=(
        Column("class", "string", "Id of the class.", lambda x: x.of.document.class_id),
        Column("revision", "integer", "The later one.", lambda x: x.of.document.revision),
        Column("seat", "string", "The judge's seat.", lambda x: x.moved.seat),
        Column("entry", "string", "Id of the entry.", lambda x: x.moved.entry),
        Column("back_number", "integer", "Back number.", lambda x: x.moved.back_number),
        Column("place_before", "integer", "Place before.", lambda x: x.before.place, optional=True),
        Column("place_after", "integer", "Place after.", lambda x: x.after.place, optional=True),
        Column(
            "total_before",
            "number",
            "Points before.",
            lambda x: _points(x.before.total),
            optional=True,
        ),
        Column(
            "total_after",
            "number",
            "Points after.",
            lambda x: _points(x.after.total),
            optional=True,
        ),
        Column(
            "outcome_before", "string", "Outcome before.", lambda x: x.before.outcome, optional=True
        ),
        Column(
            "outcome_after", "string", "Outcome after.", lambda x: x.after.outcome, optional=True
        ),
    ),
)

CORRECTIONS: Table[Why] = Table(
    name="corrections",
    title="Why: the corrections between one revision and the next",
    key=("class", "revision", "version"),
    columns=(
        Column("class", "string", "Id of the class.", lambda x: x.of.document.class_id),
        Column("revision", "integer", "The later one.", lambda x: x.of.document.revision),
        Column("version", "integer", "Event of the class.", lambda x: x.correction.version),
        Column("seat", "string", "The judge's seat.", lambda x: x.correction.seat),
        Column("entry", "string", "Id of the entry.", lambda x: x.correction.entry),
        Column("authority", "string", "On whose word.", lambda x: x.correction.authority),
        Column(
            "protest", "string", "For which protest.", lambda x: x.correction.protest, optional=True
        ),
        Column(
            "reason",
            "string",
            "Why, for who may read it.",
            lambda x: x.of.names.text(x.correction.reason),
        ),
    ),
)
