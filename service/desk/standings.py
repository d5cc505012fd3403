"""Standings at the desk: as of any moment with all that explains them, and what moved since."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime

import msgspec

from events.awards.rules import AwardRules
from events.envelope import RecordedEvent
from events.projections.earned import EarnedLine, pair_of
from events.projections.standing_moves import StandingMove, standing_moves
from events.projections.standings import StandingRow
from events.refusals import Refusal
from events.scoring.points.model import PointsTable
from service.desk import texts
from service.desk.caller import Caller
from service.desk.desk import Desk
from service.desk.names import Names, names
from service.desk.season_moments import AsOf, followed_to, position_of
from service.desk.seasons import look
from service.desk.standings_kept import Standing
from service.store import standings as kept
from service.store.standings import Tag, Turn

READS_TEXTS = frozenset({"federation", "office", "steward", "system"})


class StandingLook(msgspec.Struct, frozen=True, kw_only=True):
    """A part of a standing as it is read, with the names in it and the tables behind its points."""

    standing: Standing
    turned_at: datetime
    rows: tuple[StandingRow, ...]
    names: Names
    tables: Mapping[str, PointsTable]


class MovesLook(msgspec.Struct, frozen=True, kw_only=True):
    """Some of what moved in an award between two positions, with the names in it."""

    rules: AwardRules
    earlier: int
    later: int
    moves: tuple[StandingMove, ...]
    more: bool
    names: Names
    tables: Mapping[str, PointsTable]


class Change(msgspec.Struct, frozen=True, kw_only=True):
    """A turn of an award, and the event that it turned by."""

    turn: Turn
    by: RecordedEvent


class ChangesLook(msgspec.Struct, frozen=True, kw_only=True):
    """Some turns of a season's awards, with the reasons that the caller may read."""

    changes: tuple[Change, ...]
    more: bool
    names: Names


def tag(desk: Desk, caller: Caller, season: str, award: str, as_of: AsOf = None) -> Tag:
    """What a standing follows from at a moment: while the tag is the same, so is all of it."""
    bound = None if as_of is None else position_of(desk, season, as_of)
    found = kept.tag(desk.database, season, award, at=bound)
    if not found.position:
        look(desk, caller, season)
        raise no_award(award)
    return found


def standing(desk: Desk, owner: str, award: str, at: Tag) -> Standing:
    """The standing that a tag stands for; or a refusal where the award was dropped.

    ``owner`` is a season's id, or what a show's awards are kept under.
    """
    found = desk.standings.at(owner, award, at.position)
    if found is None:
        raise no_award(award)
    return found


def read(
    desk: Desk,
    of: Standing,
    rows: Sequence[StandingRow],
    *,
    with_lines: bool,
) -> StandingLook:
    """Some rows of a standing with the names in them, and, where wanted, in their lines."""
    lines = [each.line for row in rows for each in row.lines] if with_lines else []
    turned_at = kept.recorded_at(desk.database, of.position)
    assert turned_at is not None  # noqa: S101 - every turn is an event's
    return StandingLook(
        standing=of,
        turned_at=turned_at,
        rows=tuple(rows),
        names=_names(desk, of.rules, [row.carrier for row in rows], lines),
        tables=_tables(desk, lines),
    )


def row_of(of: Standing, carrier: str) -> StandingRow:
    """Where a carrier stands; or a refusal."""
    for row in of.rows:
        if row.carrier == carrier:
            return row
    raise Refusal(
        "carrier_not_shown",
        f"Nothing of {carrier} counts in the award {of.rules.award} at that moment.",
        field="carrier",
        carrier=carrier,
    )


def moves(
    desk: Desk,
    caller: Caller,
    season: str,
    award: str,
    *,
    earlier: AsOf,
    later: AsOf,
    after: int = 0,
    limit: int,
) -> MovesLook:
    """What moved in an award from one moment to another, and which results did it."""
    look(desk, caller, season)
    bounds = (_bound(desk, season, moment) for moment in (earlier, later))
    return moved(desk, season, award, *bounds, after=after, limit=limit)


def moved(
    desk: Desk, owner: str, award: str, first: int, last: int, *, after: int, limit: int
) -> MovesLook:
    """What moved in an award from one position to another, and which results did it."""
    if first > last:
        raise Refusal(
            "moments_reversed",
            f"The event at {first} comes after the one at {last}.",
            field="from",
        )
    before, now = (_at(desk, owner, award, position) for position in (first, last))
    rules = next((each.rules for each in (now, before) if each is not None), None)
    if rules is None:
        raise no_award(award)
    found = standing_moves(before.rows if before else (), now.rows if now else ())
    page = found[after : after + limit]
    lines = [side.line for move in page for each in move.lines for side in (each.before, each.after)
             if side is not None]  # fmt: skip
    return MovesLook(
        rules=rules,
        earlier=first,
        later=last,
        moves=page,
        more=len(found) > after + limit,
        names=_names(desk, rules, [move.carrier for move in page], lines),
        tables=_tables(desk, lines),
    )


def changes(
    desk: Desk,
    caller: Caller,
    season: str,
    *,
    after: tuple[int, str],
    limit: int,
    award: str | None = None,
) -> ChangesLook:
    """The events that moved a season's awards, in the order of the log."""
    look(desk, caller, season)
    turns = kept.turns(desk.database, season, after, limit + 1, award=award)
    events = kept.events_at(desk.log, (turn.position for turn in turns))
    found = tuple(Change(turn=turn, by=events[turn.position]) for turn in turns[:limit])
    reasons = texts.refs(each.by.data for each in found) if caller.role in READS_TEXTS else ()
    return ChangesLook(
        changes=found, more=len(turns) > limit, names=names(desk.database, texts=reasons)
    )


def _bound(desk: Desk, season: str, moment: AsOf) -> int:
    return followed_to(desk) if moment is None else position_of(desk, season, moment)


def _at(desk: Desk, owner: str, award: str, position: int) -> Standing | None:
    turned = kept.tag(desk.database, owner, award, at=position).position
    return desk.standings.at(owner, award, turned) if turned else None


def _names(
    desk: Desk, rules: AwardRules, carriers: Sequence[str], lines: Sequence[EarnedLine]
) -> Names:
    pairs = [pair_of(rules.carrier, carrier) for carrier in carriers]
    return names(
        desk.database,
        people=_known(rider for rider, _ in pairs) | _people(lines),
        horses=_known(horse for _, horse in pairs) | _known(line.horse for line in lines),
    )


def _tables(desk: Desk, lines: Sequence[EarnedLine]) -> Mapping[str, PointsTable]:
    return {digest: desk.points.kept_under(digest) for digest in {line.table for line in lines}}


def _people(lines: Sequence[EarnedLine]) -> set[str]:
    return {line.exhibitor for line in lines} | {j for line in lines for j in line.judges}


def _known(of: Iterator[str | None]) -> set[str]:
    return {each for each in of if each is not None}


def no_award(award: str, of: str = "season") -> Refusal:
    """The refusal for an award that there is not, or was not at a moment."""
    return Refusal("unknown_award", f"The {of} has no award {award} at that moment.", award=award)
