"""A season in short: its rules, its story, and official results that count in it."""

from collections.abc import Mapping, Sequence
from datetime import UTC, date, datetime
from typing import Any

import msgspec

from events.awards.rules import AwardRules, Category, PointsRef
from events.envelope import Actor
from events.projections.earned import EarnedLine, earned_lines
from events.projections.result import (
    DivisionResult,
    PanelResultPart,
    PanelResultRow,
    ResultDocument,
    ResultEntry,
    ResultRow,
    SeatResult,
)
from events.projections.standings import StandingRow, standings
from events.rulebook.model import OutcomeKind, PanelMethod, RuleBookRef
from events.scoring.points.load import digest
from events.scoring.points.model import PointsTable
from events.season import events as happened
from events.season.state import SeasonState, fold
from tests.core.points.shipped import shipped

FEDERATION = Actor(key="federation", role="federation")
SHOW = "s-1"
DAY = date(2026, 5, 9)
REASON = "0" * 64
OPENED = happened.SeasonOpened(
    federation="hill-country",
    name="Season 2026",
    first_day=date(2026, 4, 1),
    last_day=date(2026, 11, 1),
)
ANY = Category(name="All classes")
Row = tuple[str, int | None] | tuple[str, int | None, OutcomeKind | None]
"""An entry's id with its place, and with its outcome where there was one."""


def reference(table: PointsTable) -> PointsRef:
    return PointsRef(id=table.id, edition=table.edition, digest=digest(table))


def rules(
    table: str | PointsTable = "ihsa-individual",
    *,
    carrier: str = "rider",
    categories: Sequence[Category] = (ANY,),
    **further: object,
) -> AwardRules:
    """An award by a shipped table, or by another."""
    points = reference(shipped()[table] if isinstance(table, str) else table)
    given: dict[str, Any] = {"award": "high-point", "name": "High point", "carrier": carrier}
    return AwardRules(points=points, categories=tuple(categories), **given, **further)  # type: ignore[arg-type]


def season(*further: happened.SeasonEvent, shows: Sequence[str] = (SHOW,)) -> SeasonState:
    """An open season in which these shows count, after further events."""
    return fold((OPENED, *(happened.ShowCounted(show=show) for show in shows), *further))


def document(
    seats: Mapping[str, Sequence[Row]],
    *,
    class_id: str = "c-1",
    show: str = SHOW,
    day: date | None = DAY,
    rulebook: str = "western-horsemanship",
    panel: Mapping[str, int | None] | None = None,
    method: PanelMethod = "sum",
    divisions: Mapping[str, Mapping[str, Sequence[Row]]] | None = None,
    horses: Mapping[str, str | None] | None = None,
    riders: Mapping[str, str] | None = None,
    totals: Mapping[str, int] | None = None,
    position: int = 10,
    revision: int = 1,
) -> ResultDocument:
    """Official results: entry 1 is rider p-1 on horse h-1; judge A sits at seat A.

    ``panel`` are the panel's places; without it each card is a result of its own. ``divisions`` are
    the cards among the entries of each.
    """
    among = divisions or {}
    placed = {name: _rows(rows, totals or {}) for name, rows in seats.items()}
    entries = [row.entry for row in next(iter(placed.values()))] if placed else []
    parts = {name: _seats({s: _rows(r, totals or {}) for s, r in of.items()})
             for name, of in among.items()}  # fmt: skip
    return ResultDocument(
        format=1,
        class_id=class_id,
        show=show,
        name=f"Class {class_id}",
        number=None,
        day=day,
        rulebook=RuleBookRef(id=rulebook, edition="2026-1", digest="sha256:0"),
        revision=revision,
        version=40 * revision,
        position=position,
        root="",
        official_at=datetime(2026, 5, 9, 18, tzinfo=UTC),
        class_size=len(entries),
        entries=tuple(
            ResultEntry(
                entry=name,
                back_number=100 + number,
                exhibitor=(riders or {}).get(name, f"p-{name}"),
                horse=(horses or {}).get(name, f"h-{name}"),
                divisions=tuple(d for d, of in parts.items() if name in _names(of)),
            )
            for number, name in enumerate(entries, start=1)
        ),
        seats=_seats(placed),
        panel=_panel(panel, method),
        divisions=tuple(
            DivisionResult(
                name=name, class_size=len(_names(of)), seats=of, panel=_panel(None, "sum")
            )
            for name, of in parts.items()
        ),
        supersedes=None,
    )


def earned(
    results: ResultDocument | Sequence[ResultDocument],
    award: AwardRules,
    state: SeasonState | None = None,
    table: PointsTable | None = None,
) -> tuple[EarnedLine, ...]:
    documents = [results] if isinstance(results, ResultDocument) else results
    counted = table or shipped()[award.points.id]
    return tuple(
        line for each in documents for line in earned_lines(each, state or season(), award, counted)
    )


def points_of(lines: Sequence[EarnedLine]) -> dict[str, float]:
    """What each carrier earned in all, as plain numbers."""
    found: dict[str, float] = {}
    for line in lines:
        found[line.carrier] = found.get(line.carrier, 0) + float(line.points)
    return found


def ranking(award: AwardRules, lines: Sequence[EarnedLine]) -> list[tuple[str, int | None, float]]:
    """Carrier, place and points, in the order of the standings."""
    return [(row.carrier, row.place, float(row.points)) for row in standings(award, lines)]


def row_of(award: AwardRules, lines: Sequence[EarnedLine], carrier: str) -> StandingRow:
    return next(row for row in standings(award, lines) if row.carrier == carrier)


def line(**changes: object) -> EarnedLine:
    """A first place of rider p-1 under judge A in a class of five, worth seven points."""
    (made, *_) = earned(document({"A": [(str(n), n) for n in range(1, 6)]}), rules())
    return msgspec.structs.replace(made, **changes)


def _rows(rows: Sequence[Row], totals: Mapping[str, int]) -> tuple[ResultRow, ...]:
    places = [row[1] for row in rows]
    return tuple(
        ResultRow(
            entry=row[0],
            back_number=0,
            working_order=None,
            place=row[1],
            tied=row[1] is not None and places.count(row[1]) > 1,
            total=totals.get(row[0]),
            outcome=row[2] if len(row) > 2 else None,
            milliseconds=None,
        )
        for row in rows
    )


def _seats(of: Mapping[str, tuple[ResultRow, ...]]) -> tuple[SeatResult, ...]:
    return tuple(SeatResult(seat=s, judge=f"j-{s}", rows=rows) for s, rows in of.items())


def _names(seats: Sequence[SeatResult]) -> set[str]:
    return {row.entry for seat in seats for row in seat.rows}


def _panel(places: Mapping[str, int | None] | None, method: PanelMethod) -> PanelResultPart:
    if places is None:
        return PanelResultPart(method="separate", rows=())
    rows = (
        PanelResultRow(entry=entry, back_number=0, place=place, tied=False, figure=None)
        for entry, place in places.items()
    )
    return PanelResultPart(method=method, rows=tuple(rows))
