"""What an outsider follows: what begins, results as they are published, standings that move.

A reader who goes on from the ``next`` that it was given misses nothing and is told nothing twice.
"""

from collections.abc import Collection, Iterator, Mapping
from datetime import datetime
from itertools import islice
from typing import Literal, get_args

import msgspec

from events.envelope import RecordedEvent, split_stream, stream_of
from events.judged_class.events import ClassScheduled
from events.refusals import Refusal
from events.season.events import SeasonOpened
from events.show.events import ShowPlanned
from service.desk.caller import Caller, check_show
from service.desk.carry_out import planned
from service.desk.desk import Desk
from service.store import changes as kept
from service.store.changes import PublishedAt

Kind = Literal[
    "show_planned",
    "class_scheduled",
    "season_opened",
    "result_published",
    "result_corrected",
    "standing_moved",
]
KINDS: tuple[Kind, ...] = get_args(Kind)
RESULTS: frozenset[Kind] = frozenset({"result_published", "result_corrected"})
STARTS: frozenset[Kind] = frozenset({"show_planned", "class_scheduled", "season_opened"})
BEGINNINGS: Mapping[type, Kind] = {
    ShowPlanned: "show_planned",
    ClassScheduled: "class_scheduled",
    SeasonOpened: "season_opened",
}
_AT_ONCE = 500


class Change(msgspec.Struct, frozen=True, kw_only=True):
    """Something that happened at a position of the log, and what it happened to."""

    position: int
    kind: Kind
    at: datetime
    show: str | None = None
    class_id: str | None = None
    revision: int | None = None
    season: str | None = None


class Wanted(msgspec.Struct, frozen=True, kw_only=True):
    """What a reader follows: of one show or of all, certain kinds or all."""

    show: str | None = None
    kinds: frozenset[Kind] = frozenset(KINDS)


class Page(msgspec.Struct, frozen=True, kw_only=True):
    """Changes in the order of the log; ``next`` is where to go on, ``head`` how far they go."""

    items: tuple[Change, ...]
    next: int
    head: int


def horizon(desk: Desk) -> int:
    """How far changes are told."""
    return kept.horizon(desk.database)


def wanted_by(desk: Desk, caller: Caller, show: str | None, kinds: Collection[Kind]) -> Wanted:
    """What a caller asks for, once it is known to be there; a key of one show follows that one."""
    check_show(caller, show or caller.show or "")
    if show is not None:
        planned(desk.shows.latest(stream_of("show", show)).state, show)
    return Wanted(show=show or caller.show, kinds=frozenset(kinds or KINDS))


def changes(desk: Desk, wanted: Wanted, *, after: int, limit: int) -> Page:
    """What the next ``limit`` events beyond a position changed.

    Or a refusal where the log never came so far. All that one event changed is on one page.
    """
    head = horizon(desk)
    if after > head:
        _check_reached(desk, after)
        return Page(items=(), next=after, head=head)
    found = sorted(
        [
            *islice(_results(desk, wanted, after, head, limit), limit),
            *islice(_beginnings(desk, wanted, after, head), limit),
            *_standings(desk, wanted, after, head, limit),
        ],
        key=lambda change: change.position,
    )
    positions = list(dict.fromkeys(change.position for change in found))
    follows = positions[limit - 1] if len(positions) >= limit else head
    items = tuple(change for change in found if change.position <= follows)
    return Page(items=items, next=follows, head=head)


def _results(desk: Desk, wanted: Wanted, after: int, head: int, limit: int) -> Iterator[Change]:
    """Results of the kinds that are wanted, read some at a time."""
    while wanted.kinds & RESULTS:
        page = kept.published(desk.database, after, head, limit, show=wanted.show)
        yield from (each for each in map(_of_result, page) if each.kind in wanted.kinds)
        if len(page) < limit:
            return
        after = page[-1].position


def _beginnings(desk: Desk, wanted: Wanted, after: int, head: int) -> Iterator[Change]:
    while wanted.kinds & STARTS:
        page = kept.begun(desk.log, after, head, _AT_ONCE)
        for first in page:
            change = _of_beginning(first)
            if change is not None and _is_wanted(change, wanted):
                yield change
        if len(page) < _AT_ONCE:
            return
        after = page[-1].position


def _standings(desk: Desk, wanted: Wanted, after: int, head: int, limit: int) -> Iterator[Change]:
    """Seasons that moved; an event may move several, and they are of no one show."""
    if wanted.show is not None or "standing_moved" not in wanted.kinds:
        return
    for each in kept.moved(desk.database, after, head, limit):
        yield Change(
            position=each.position, kind="standing_moved", at=each.recorded_at, season=each.season
        )


def _is_wanted(change: Change, wanted: Wanted) -> bool:
    return change.kind in wanted.kinds and wanted.show in {None, change.show}


def _of_result(of: PublishedAt) -> Change:
    return Change(
        position=of.position,
        kind="result_published" if of.revision == 1 else "result_corrected",
        at=of.official_at,
        show=of.show_id,
        class_id=of.class_id,
        revision=of.revision,
    )


def _of_beginning(first: RecordedEvent) -> Change | None:
    kind = BEGINNINGS.get(type(first.data))
    if kind is None:
        return None
    _, name = split_stream(first.stream)
    begun = Change(position=first.position, kind=kind, at=first.recorded_at)
    match first.data:
        case ClassScheduled(show=show):
            return msgspec.structs.replace(begun, show=show, class_id=name)
        case ShowPlanned():
            return msgspec.structs.replace(begun, show=name)
        case _:
            return msgspec.structs.replace(begun, season=name)


def _check_reached(desk: Desk, after: int) -> None:
    head = desk.log.head().position
    if after > head:
        raise Refusal(
            "position_unknown",
            f"The log has positions up to {head}, not {after}.",
            field="after",
            head=head,
        )
