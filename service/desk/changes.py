"""What an outsider follows: what is planned and changed, results as published, standings that move.

A reader who goes on from the ``next`` that it was given misses nothing and is told nothing twice.
"""

from collections.abc import Collection, Iterator
from datetime import date, datetime
from itertools import islice
from typing import get_args

import msgspec

from events.envelope import RecordedEvent, split_stream, stream_of
from events.refusals import Refusal
from events.show.events import ClassSlotted
from service.desk.caller import Caller, check_show
from service.desk.carry_out import planned
from service.desk.desk import Desk
from service.desk.told import HAPPENINGS, Kind, kind_of, tags
from service.store import changes as kept
from service.store.changes import PublishedAt

KINDS: tuple[Kind, ...] = get_args(Kind)
RESULTS: frozenset[Kind] = frozenset({"result_published", "result_corrected"})
_AT_ONCE = 500


class Change(msgspec.Struct, frozen=True, kw_only=True):
    """Something that happened at a position of the log, and what it happened to.

    ``day`` is the day of the show that it concerns alone.
    """

    position: int
    kind: Kind
    at: datetime
    show: str | None = None
    class_id: str | None = None
    revision: int | None = None
    season: str | None = None
    day: date | None = None


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
            *islice(_happenings(desk, wanted, after, head), limit),
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


def _happenings(desk: Desk, wanted: Wanted, after: int, head: int) -> Iterator[Change]:
    types = tags(wanted.kinds & HAPPENINGS)
    streams = None if wanted.show is None else _streams(desk, wanted.show)
    while types:
        page = kept.happened(desk.log, after, head, _AT_ONCE, types=types, streams=streams)
        for each in page:
            change = _of_event(desk, each)
            if change is not None and change.kind in wanted.kinds:
                yield change
        if len(page) < _AT_ONCE:
            return
        after = page[-1].position


def _streams(desk: Desk, show: str) -> list[str]:
    """The show's own stream and those of its classes."""
    classes = desk.directory.classes(show)
    return [stream_of("show", show), *(stream_of("class", each.id) for each in classes)]


def _standings(desk: Desk, wanted: Wanted, after: int, head: int, limit: int) -> Iterator[Change]:
    """Seasons and shows whose awards moved; an event may move several, seasons of no one show."""
    moved = kept.moved(
        desk.database,
        after,
        head,
        limit,
        seasons=wanted.show is None and "standing_moved" in wanted.kinds,
        shows="award_moved" in wanted.kinds and (wanted.show or True),
    )
    for each in moved:
        yield Change(
            position=each.position,
            kind="award_moved" if each.season is None else "standing_moved",
            at=each.recorded_at,
            season=each.season,
            show=each.show,
        )


def _of_result(of: PublishedAt) -> Change:
    return Change(
        position=of.position,
        kind="result_published" if of.first else "result_corrected",
        at=of.official_at,
        show=of.show_id,
        class_id=of.class_id,
        revision=of.revision,
    )


def _of_event(desk: Desk, event: RecordedEvent) -> Change | None:
    kind = kind_of(event.data, event.version)
    if kind is None:
        return None
    told = Change(position=event.position, kind=kind, at=event.recorded_at)
    aggregate, name = split_stream(event.stream)
    match aggregate:
        case "class":
            show = desk.directory.show_of(name)
            return msgspec.structs.replace(told, show=show, class_id=name)
        case "show" if isinstance(event.data, ClassSlotted):
            day, moved = event.data.day, event.data.class_id
            return msgspec.structs.replace(told, show=name, class_id=moved, day=day)
        case "show":
            return msgspec.structs.replace(told, show=name)
        case _:
            return msgspec.structs.replace(told, season=name)


def _check_reached(desk: Desk, after: int) -> None:
    head = desk.log.head().position
    if after > head:
        raise Refusal(
            "position_unknown",
            f"The log has positions up to {head}, not {after}.",
            field="after",
            head=head,
        )
