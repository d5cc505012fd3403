"""The document of official results: derived from the log alone, the same wherever it is derived.

It carries ids and back numbers, never names: those are joined where it is shown, so that a person
can be erased without breaking a signature.
"""

from collections.abc import Sequence
from datetime import UTC, date, datetime

import msgspec

from events.envelope import split_stream
from events.half_points import HalfPoints
from events.judged_class import events as happened
from events.judged_class.standing import running_entries
from events.projections.compare import Standing, moved
from events.projections.history import History
from events.projections.placing import (
    ClassPlacing,
    DivisionPlacing,
    PanelPlacing,
    SeatPlacing,
    placing,
)
from events.proof.text import to_base64
from events.rulebook.model import OutcomeKind, PanelMethod, RuleBook, RuleBookRef

FORMAT = 1
_encode = msgspec.json.Encoder(order="sorted").encode


class ResultRow(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One entry's official line on one card; ``total`` in half points, times in milliseconds.

    ``section`` is the one in which it has its place; a class ridden as one leaves it out.
    """

    entry: str
    back_number: int
    working_order: int | None
    place: int | None
    tied: bool
    total: HalfPoints | None
    outcome: OutcomeKind | None
    milliseconds: int | None
    section: int | None = None


class SeatResult(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """The official placing of one judge; ``judges_before`` filled the same card before."""

    seat: str
    judge: str
    rows: tuple[ResultRow, ...]
    judges_before: tuple[str, ...] = ()


class ResultEntry(msgspec.Struct, frozen=True, kw_only=True):
    """Who an entry was: the ids of exhibitor and horse, and the divisions it was placed in."""

    entry: str
    back_number: int
    exhibitor: str
    horse: str | None
    divisions: tuple[str, ...]


class PanelResultRow(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One entry's official line of the whole panel.

    ``figure`` is exact: a whole number or a fraction such as ``425/2``. ``section`` as on a card.
    """

    entry: str
    back_number: int
    place: int | None
    tied: bool
    figure: str | None
    section: int | None = None


class PanelResultPart(msgspec.Struct, frozen=True, kw_only=True):
    """What the judges placed together; no rows where each card is a result of its own."""

    method: PanelMethod
    rows: tuple[PanelResultRow, ...]


class DivisionResult(msgspec.Struct, frozen=True, kw_only=True):
    """The official placing among the entries of one division."""

    name: str
    class_size: int
    seats: tuple[SeatResult, ...]
    panel: PanelResultPart


class SectionResult(msgspec.Struct, frozen=True, kw_only=True):
    """The official result of one section, a class of its own with its divisions."""

    section: int
    class_size: int
    seats: tuple[SeatResult, ...]
    panel: PanelResultPart
    divisions: tuple[DivisionResult, ...]


class Moved(msgspec.Struct, frozen=True, kw_only=True):
    """An entry that stands elsewhere than in the revision before."""

    seat: str
    entry: str
    back_number: int
    before: Standing | None
    after: Standing | None


class CorrectionNote(msgspec.Struct, frozen=True, kw_only=True):
    """A correction made since the revision before: on whose word, and for which protest."""

    version: int
    seat: str
    entry: str
    authority: happened.Authority
    reason: str
    protest: str | None


class Supersedes(msgspec.Struct, frozen=True, kw_only=True):
    """The official revision that this one takes the place of, and what is different."""

    revision: int
    version: int
    moved: tuple[Moved, ...]
    corrections: tuple[CorrectionNote, ...]


class ResultDocument(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Official results of one class at the event that made them official.

    ``root`` is the root hash, in base64, of the tree over the log's first ``position`` events: who
    keeps the document keeps a checkpoint that every later one can be held against. ``sections``
    are left out where the class was ridden as one; where there are some, each is a result of its
    own, and ``seats`` and ``panel`` list them one after another.
    """

    format: int
    class_id: str
    show: str
    name: str
    number: int | None
    day: date | None
    rulebook: RuleBookRef
    revision: int
    version: int
    position: int
    root: str
    official_at: datetime
    class_size: int
    entries: tuple[ResultEntry, ...]
    seats: tuple[SeatResult, ...]
    panel: PanelResultPart
    divisions: tuple[DivisionResult, ...]
    supersedes: Supersedes | None
    sections: tuple[SectionResult, ...] = ()

    def canonical(self) -> bytes:
        """The bytes that are signed."""
        return _encode(self)


def official_versions(history: History) -> tuple[int, ...]:
    """The versions of the events that made results official, oldest first."""
    return tuple(
        event.version
        for event in history.events
        if isinstance(event.data, happened.ResultsMadeOfficial)
    )


def result_document(
    history: History, version: int, book: RuleBook, *, root: bytes
) -> ResultDocument:
    """The results that the event of that version made official.

    ``version`` is one of ``official_versions``, else ``ValueError``; ``book`` is the one the class
    was scheduled under; ``root`` is that of the log's tree when that event was its last.
    """
    state = history.at_version(version)
    event = history.events[version - 1]
    scheduled = state.scheduled
    if scheduled is None or version not in official_versions(history):
        raise ValueError(f"event {version} made no results official")
    now = placing(state, book)
    return ResultDocument(
        format=FORMAT,
        class_id=split_stream(event.stream)[1],
        show=scheduled.show,
        name=scheduled.name,
        number=scheduled.number,
        day=scheduled.day,
        rulebook=scheduled.rulebook,
        revision=state.revision,
        version=version,
        position=event.position,
        root=to_base64(root),
        official_at=event.recorded_at.astimezone(UTC),
        class_size=now.class_size,
        entries=tuple(
            ResultEntry(
                entry=entry.id,
                back_number=entry.back_number,
                exhibitor=entry.exhibitor,
                horse=entry.horse,
                divisions=entry.divisions,
            )
            for entry in running_entries(state)
        ),
        seats=_seats(now.seats),
        panel=_panel(now.panel),
        divisions=_divisions(now.divisions),
        supersedes=_supersedes(history, version, now, book),
        sections=tuple(
            SectionResult(
                section=section.section,
                class_size=section.class_size,
                seats=_seats(section.seats),
                panel=_panel(section.panel),
                divisions=_divisions(section.divisions),
            )
            for section in now.sections
        ),
    )


def _divisions(of: Sequence[DivisionPlacing]) -> tuple[DivisionResult, ...]:
    return tuple(
        DivisionResult(
            name=division.name,
            class_size=division.class_size,
            seats=_seats(division.seats),
            panel=_panel(division.panel),
        )
        for division in of
    )


def _panel(of: PanelPlacing) -> PanelResultPart:
    return PanelResultPart(
        method=of.method,
        rows=tuple(
            PanelResultRow(
                entry=row.entry,
                back_number=row.back_number,
                place=row.place,
                tied=row.tied,
                figure=None if row.figure is None else str(row.figure),
                section=row.section,
            )
            for row in of.rows
        ),
    )


def _seats(of: Sequence[SeatPlacing]) -> tuple[SeatResult, ...]:
    return tuple(
        SeatResult(
            seat=seat.seat,
            judge=seat.judge,
            rows=tuple(
                ResultRow(
                    entry=row.entry,
                    back_number=row.back_number,
                    working_order=row.working_order,
                    place=row.place,
                    tied=row.tied,
                    total=row.total,
                    outcome=row.outcome,
                    milliseconds=row.milliseconds,
                    section=row.section,
                )
                for row in seat.rows
            ),
            judges_before=seat.judges_before,
        )
        for seat in of
        if seat.kind == "judge"
    )


def _supersedes(
    history: History, version: int, now: ClassPlacing, book: RuleBook
) -> Supersedes | None:
    earlier = [known for known in official_versions(history) if known < version]
    if not earlier:
        return None
    before = history.at_version(earlier[-1])
    judges = {seat.seat for seat in now.seats if seat.kind == "judge"}
    return Supersedes(
        revision=before.revision,
        version=earlier[-1],
        moved=tuple(
            Moved(
                seat=change.seat,
                entry=change.entry,
                back_number=change.back_number,
                before=change.before,
                after=change.after,
            )
            for change in moved(placing(before, book), now)
            if change.seat in judges
        ),
        corrections=tuple(
            CorrectionNote(
                version=event.version,
                seat=event.data.seat,
                entry=event.data.entry,
                authority=event.data.authority,
                reason=event.data.reason,
                protest=event.data.protest,
            )
            for event in history.events[earlier[-1] : version]
            if isinstance(event.data, happened.CorrectionMade)
        ),
    )
