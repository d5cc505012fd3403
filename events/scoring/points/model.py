"""The shape of a points table; its points are whole half points, as in a rule book.

A table is data, never code, because bodies differ and so do years: a new edition is a new file.
"""

from fractions import Fraction

import msgspec

from events.half_points import HalfPoints
from events.rulebook.model import Count, OutcomeKind, Slug


class SizeRow(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True
):
    """The points for each place, first place first, in classes of ``entries_from`` and more.

    It holds up to the next row. ``source`` is given where it is another than the table's.
    """

    entries_from: Count
    points: tuple[HalfPoints, ...]
    source: str | None = None


class BeatenRule(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True
):
    """Points for every entry beaten: the class size less the place.

    ``winner`` is added for first place, ``each`` for every place. ``places`` bounds all of it to
    that place and better ones.
    """

    per_entry: HalfPoints
    winner: HalfPoints = 0
    each: HalfPoints = 0
    places: Count | None = None


class ChampionRule(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True
):
    """Points for grand and reserve champion.

    With ``above_highest`` they come on top of those of the highest pointed class in the division.
    ``in_high_point`` says whether they count in the high-point sum.
    """

    grand: HalfPoints
    reserve: HalfPoints
    above_highest: bool
    in_high_point: bool


class PointsTable(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True
):
    """What a place earns in a class of a size: the listed points and those for entries beaten.

    ``participation`` is earned at every place past the listed ones, and by an entry shown without
    a place. ``earns_nothing`` are outcomes that earn no points at all, though they count as beaten.
    ``not_shown`` are outcomes that, like scratching, leave an entry out of the class size.
    """

    id: Slug
    edition: Slug
    title: str
    source: str
    notice: str | None = None
    sizes: tuple[SizeRow, ...] = ()
    beaten: BeatenRule | None = None
    participation: HalfPoints = 0
    earns_nothing: tuple[OutcomeKind, ...] = ()
    not_shown: tuple[OutcomeKind, ...] = ("missed_gate",)
    champions: ChampionRule | None = None

    def row_for(self, class_size: int) -> SizeRow | None:
        """The row of listed points for a class of that size, if there is one."""
        rows = [row for row in self.sizes if row.entries_from <= class_size]
        return max(rows, key=lambda row: row.entries_from, default=None)

    def at(self, place: int, class_size: int) -> Fraction:
        """The points that one place earns, for whoever holds it alone."""
        row = self.row_for(class_size)
        listed = row.points if row is not None else ()
        half = listed[place - 1] if place <= len(listed) else self.participation
        if self.beaten is not None and place <= (self.beaten.places or place):
            half += self.beaten.per_entry * (class_size - place) + self.beaten.each
            half += self.beaten.winner if place == 1 else 0
        return Fraction(half, 2)
