"""The document of official results: derived from the log alone, the same wherever it is derived.

It carries ids and back numbers, never names: those are joined where it is shown, so that a person
can be erased without breaking a signature.
"""

from datetime import UTC, datetime

import msgspec

from events.envelope import split_stream
from events.half_points import HalfPoints
from events.judged_class import events as happened
from events.projections.compare import Standing, moved
from events.projections.history import History
from events.projections.placing import ClassPlacing, placing
from events.proof.text import to_base64
from events.rulebook.model import OutcomeKind, RuleBook, RuleBookRef

FORMAT = 1
_encode = msgspec.json.Encoder(order="sorted").encode


class ResultRow(msgspec.Struct, frozen=True, kw_only=True):
    """One entry's official line on one card; ``total`` in half points."""

    entry: str
    back_number: int
    working_order: int | None
    place: int | None
    tied: bool
    total: HalfPoints | None
    outcome: OutcomeKind | None


class SeatResult(msgspec.Struct, frozen=True, kw_only=True):
    """The official placing of one judge."""

    seat: str
    judge: str
    rows: tuple[ResultRow, ...]


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


class ResultDocument(msgspec.Struct, frozen=True, kw_only=True):
    """Official results of one class at the event that made them official.

    ``root`` is the root hash, in base64, of the tree over the log's first ``position`` events: who
    keeps the document keeps a checkpoint that every later one can be held against.
    """

    format: int
    class_id: str
    show: str
    name: str
    number: int | None
    rulebook: RuleBookRef
    revision: int
    version: int
    position: int
    root: str
    official_at: datetime
    class_size: int
    seats: tuple[SeatResult, ...]
    supersedes: Supersedes | None

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
        rulebook=scheduled.rulebook,
        revision=state.revision,
        version=version,
        position=event.position,
        root=to_base64(root),
        official_at=event.recorded_at.astimezone(UTC),
        class_size=now.class_size,
        seats=_seats(now),
        supersedes=_supersedes(history, version, now, book),
    )


def _seats(of: ClassPlacing) -> tuple[SeatResult, ...]:
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
                )
                for row in seat.rows
            ),
        )
        for seat in of.seats
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
