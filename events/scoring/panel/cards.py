"""What each seat of a panel says of each entry, and whether every seat has finished."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from fractions import Fraction

import msgspec

from events.half_points import HalfPoints
from events.scoring.placing import Placed
from events.scoring.total import RideScore


class PanelIncomplete(ValueError):
    """Seats that did not finish: what they leave open would make a wrong result.

    ``missing`` gives for each such seat the entries that still want a place or a total.
    """

    def __init__(self, missing: Mapping[str, tuple[str, ...]]) -> None:
        super().__init__(
            "; ".join(
                f"Seat {seat} has not finished: {', '.join(entries)}"
                for seat, entries in missing.items()
            )
        )
        self.missing = missing


class PanelUnfit(ValueError):
    """Settings of a panel that do not fit its method or its seats; ``field`` names the one."""

    def __init__(self, field: str, sentence: str) -> None:
        super().__init__(sentence)
        self.field = field


class Line(msgspec.Struct, frozen=True, kw_only=True):
    """What one seat says of one entry.

    ``tier`` is 0 for a complete run, 1 and up for one placed below those, ``None`` where an outcome
    leaves the entry without a place. A ``place`` of ``None`` in a tier means that the judge placed
    others only. ``total`` is ``None`` in classes without scores.
    """

    place: int | None
    total: HalfPoints | None = None
    tier: int | None = 0
    complete: bool = True


class SeatCard(msgspec.Struct, frozen=True, kw_only=True):
    """One seat's line for every entry that was not scratched."""

    seat: str
    lines: Mapping[str, Line]


def scored_card(seat: str, rows: Iterable[Placed], scores: Mapping[str, RideScore]) -> SeatCard:
    """The card of a seat that scored, from its placing."""
    return SeatCard(
        seat=seat,
        lines={
            row.entry: Line(
                place=row.place,
                total=row.total,
                tier=scores[row.entry].tier,
                complete=row.complete,
            )
            for row in rows
        },
    )


def placed_card(
    seat: str, order: Sequence[str], entries: Iterable[str], disqualified: Collection[str] = ()
) -> SeatCard:
    """The card of a seat that only places: ``order`` is best first, others of ``entries`` follow.

    ``disqualified`` are those that this judge leaves out because of an outcome.
    """
    places = {entry: place for place, entry in enumerate(dict.fromkeys(order), start=1)}
    return SeatCard(
        seat=seat,
        lines={
            entry: Line(place=places.get(entry), tier=None if entry in disqualified else 0)
            for entry in dict.fromkeys((*places, *entries))
        },
    )


def running(cards: Sequence[SeatCard]) -> tuple[str, ...]:
    """Every entry that any seat has a line for, in the order of their ids."""
    return tuple(sorted({entry for card in cards for entry in card.lines}))


def check(cards: Sequence[SeatCard], *, totals: bool = False) -> None:
    """Nothing, when every seat has finished; ``PanelUnfit`` for an empty or a doubled panel.

    ``PanelIncomplete`` names each seat without a line for an entry that another seat has one for,
    with a line that is not complete, or, where ``totals`` are asked for, without one.
    """
    if not cards:
        raise PanelUnfit("seats", "A panel needs at least one seat.")
    seats = [card.seat for card in cards]
    doubled = sorted({seat for seat in seats if seats.count(seat) > 1})
    if doubled:
        raise PanelUnfit("seats", f"Seat {', '.join(doubled)} stands on the panel twice.")
    entries = running(cards)
    missing = {card.seat: _unfinished(card, entries, totals=totals) for card in cards}
    if any(missing.values()):
        raise PanelIncomplete({seat: names for seat, names in sorted(missing.items()) if names})


def _unfinished(card: SeatCard, entries: Sequence[str], *, totals: bool) -> tuple[str, ...]:
    def unfinished(line: Line | None) -> bool:
        if line is None or not line.complete:
            return True
        return totals and line.tier is not None and line.total is None

    return tuple(entry for entry in entries if unfinished(card.lines.get(entry)))


def value_of(line: Line) -> Fraction | None:
    """The total in points of a line whose entry takes a place, ``None`` of one that takes none."""
    return None if line.tier is None or line.total is None else Fraction(line.total, 2)
