"""What each entry of a class earns by a points table."""

from collections import Counter
from collections.abc import Sequence
from fractions import Fraction

import msgspec

from events.rulebook.model import OutcomeKind
from events.scoring.held_places import Held, held_places
from events.scoring.points.load import digest
from events.scoring.points.model import PointsTable


class Entrant(msgspec.Struct, frozen=True, kw_only=True):
    """What became of one entry of the class; ``place`` is ``None`` where it takes none."""

    entry: str
    place: int | None
    outcome: OutcomeKind | None = None
    scratched: bool = False


class PlacePoints(msgspec.Struct, frozen=True, kw_only=True):
    """What one place earns whoever holds it alone."""

    place: int
    points: Fraction


class Award(msgspec.Struct, frozen=True, kw_only=True):
    """What one entry earns, in points.

    ``places`` are those it holds, alone or with ``shared_by`` entries in all, and what each would
    earn alone. ``barred_by`` is the outcome for which it earns nothing.
    """

    entry: str
    place: int | None
    points: Fraction
    places: tuple[PlacePoints, ...] = ()
    shared_by: int = 1
    barred_by: OutcomeKind | None = None


class ClassAwards(msgspec.Struct, frozen=True, kw_only=True):
    """The points of a class with what they were counted by: table, digest, class size."""

    table: str
    edition: str
    digest: str
    class_size: int
    awards: tuple[Award, ...]


class SizeUnfit(ValueError):
    """A class size that the table does not reach down to, or that is too small for its placing."""

    def __init__(self, class_size: int, sentence: str) -> None:
        super().__init__(sentence)
        self.class_size = class_size


def is_shown(table: PointsTable, entrant: Entrant) -> bool:
    """Whether the table counts an entry as shown."""
    return not entrant.scratched and entrant.outcome not in table.not_shown


def size_of_class(table: PointsTable, entrants: Sequence[Entrant]) -> int:
    """How many entries count as shown: not those scratched, nor with an outcome not shown.

    A disqualified entry counts, since it was exhibited: AQHA rule SHW260, as explained in How AQHA
    Points Work, americashorse.tv, 2016.
    """
    return sum(is_shown(table, entrant) for entrant in entrants)


def outcome_together(called: Sequence[OutcomeKind | None]) -> OutcomeKind | None:
    """The outcome of an entry whose judges place together, from what each of them called.

    It is the one called most, once more than half of them call any: our rule, as it is for the
    place that the panel gives.
    """
    outcomes = [each for each in called if each is not None]
    if 2 * len(outcomes) <= len(called):
        return None
    return Counter(outcomes).most_common(1)[0][0]


def award(table: PointsTable, class_size: int, entrants: Sequence[Entrant]) -> ClassAwards:
    """The points of every entry, best place first, then those without a place, by their ids.

    Entries that share a place share the points of the places they hold between them, exactly; one
    barred by its outcome leaves its share unpaid (California Cow Horse, 2018: tied places share the
    points of the places they cover; zero scores count as beaten but earn nothing). ``SizeUnfit``
    when the table says nothing of so small a class, or more entries are placed than it has;
    ``PlacesUnsound`` when a place would be held twice.
    """
    shown = {entrant.entry: entrant for entrant in entrants if is_shown(table, entrant)}
    placed = {name: one.place for name, one in shown.items() if one.place is not None}
    _check_size(table, class_size, placed=len(placed), shown=len(shown))
    unplaced = sorted(
        (entrant for entrant in entrants if entrant.entry not in placed), key=lambda e: e.entry
    )
    return ClassAwards(
        table=table.id,
        edition=table.edition,
        digest=digest(table),
        class_size=class_size,
        awards=(
            *(
                _for_place(table, class_size, held, shown[entry])
                for held in held_places(placed)
                for entry in held.entries
            ),
            *(_without_place(table, entrant) for entrant in unplaced),
        ),
    )


def champion_points(table: PointsTable, highest: Fraction) -> tuple[Fraction, Fraction] | None:
    """The points of grand and reserve champion; ``None`` where the table has none for them.

    ``highest`` are the points of the highest pointed class in the division.
    """
    rule = table.champions
    if rule is None:
        return None
    base = highest if rule.above_highest else Fraction(0)
    return base + Fraction(rule.grand, 2), base + Fraction(rule.reserve, 2)


def _check_size(table: PointsTable, class_size: int, *, placed: int, shown: int) -> None:
    if class_size < placed:
        raise SizeUnfit(
            class_size, f"{placed} entries are placed, so a class of {class_size} cannot be right."
        )
    if shown and table.sizes and table.row_for(class_size) is None:
        smallest = table.sizes[0].entries_from
        raise SizeUnfit(
            class_size,
            f"The points table `{table.id}` says nothing of classes under {smallest}; "
            f"this class has {class_size}.",
        )


def _for_place(table: PointsTable, class_size: int, held: Held, entrant: Entrant) -> Award:
    barred = entrant.outcome if entrant.outcome in table.earns_nothing else None
    places = tuple(
        PlacePoints(place=place, points=table.at(place, class_size)) for place in held.places
    )
    share = sum((each.points for each in places), Fraction(0)) / len(places)
    return Award(
        entry=entrant.entry,
        place=entrant.place,
        points=Fraction(0) if barred else share,
        places=places,
        shared_by=len(held.entries),
        barred_by=barred,
    )


def _without_place(table: PointsTable, entrant: Entrant) -> Award:
    barred = entrant.outcome if entrant.outcome in table.earns_nothing else None
    earns = is_shown(table, entrant) and barred is None
    return Award(
        entry=entrant.entry,
        place=None,
        points=Fraction(table.participation if earns else 0, 2),
        barred_by=barred,
    )
