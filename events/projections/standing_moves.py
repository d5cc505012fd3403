"""What moved in the standings of an award between two moments, and by which results."""

from collections.abc import Mapping, Sequence
from fractions import Fraction

import msgspec

from events.projections.earned import EarnedLine
from events.projections.standings import Counted, Missing, StandingRow


class StoodAt(msgspec.Struct, frozen=True, kw_only=True):
    """Where a carrier stood at a moment."""

    place: int | None
    tied: bool
    points: Fraction
    missing: tuple[Missing, ...]


class LineMove(msgspec.Struct, frozen=True, kw_only=True):
    """One result of a carrier that came, went, or came to something else."""

    before: Counted | None
    after: Counted | None


class StandingMove(msgspec.Struct, frozen=True, kw_only=True):
    """A carrier that stands elsewhere, and what of its own did it.

    Without ``lines`` it was others that moved past.
    """

    carrier: str
    before: StoodAt | None
    after: StoodAt | None
    lines: tuple[LineMove, ...]


def standing_moves(
    before: Sequence[StandingRow], after: Sequence[StandingRow]
) -> tuple[StandingMove, ...]:
    """Every carrier that stands elsewhere or has other results, in the order of ``after``.

    Those that it no longer has come last. A result that was only published anew is no move.
    """
    old, new = ({row.carrier: row for row in rows} for rows in (before, after))
    names = [*new, *(name for name in old if name not in new)]
    moves = (_move(name, old.get(name), new.get(name)) for name in names)
    return tuple(move for move in moves if move.lines or move.before != move.after)


def _move(carrier: str, before: StandingRow | None, after: StandingRow | None) -> StandingMove:
    return StandingMove(
        carrier=carrier,
        before=_stood(before),
        after=_stood(after),
        lines=_line_moves(_lines(before), _lines(after)),
    )


def _stood(row: StandingRow | None) -> StoodAt | None:
    if row is None:
        return None
    return StoodAt(place=row.place, tied=row.tied, points=row.points, missing=row.missing)


def _lines(row: StandingRow | None) -> Mapping[tuple[str, ...], Counted]:
    return {} if row is None else {each.line.name: each for each in row.lines}


def _line_moves(
    old: Mapping[tuple[str, ...], Counted], new: Mapping[tuple[str, ...], Counted]
) -> tuple[LineMove, ...]:
    return tuple(
        LineMove(before=old.get(name), after=new.get(name))
        for name in dict.fromkeys((*old, *new))
        if name not in old or name not in new or _says(old[name]) != _says(new[name])
    )


def _says(counted: Counted) -> tuple[EarnedLine, bool]:
    """What a line comes to, whichever revision says so and whichever edition of a table."""
    line = msgspec.structs.replace(counted.line, revision=0, version=0, position=0, table="")
    return line, counted.counts
