"""Panels for the tests: cards by placing alone, and cards with totals."""

from collections.abc import Mapping, Sequence

from hypothesis import strategies as st

from events.half_points import from_number
from events.scoring.panel.cards import Line, SeatCard, placed_card
from events.scoring.panel.ranking import Combined


def placed(**orders: Sequence[str]) -> list[SeatCard]:
    """A panel of which each seat put the entries in the order given, best first."""
    entries = sorted({entry for order in orders.values() for entry in order})
    return [placed_card(seat, order, entries) for seat, order in orders.items()]


def by_marks(rows: Mapping[str, Sequence[int | None]]) -> list[SeatCard]:
    """A panel from a table of marks: a row an entry, a column a judge, named from A."""
    judges = len(next(iter(rows.values())))
    return [
        SeatCard(
            seat="ABCDEFGHI"[judge],
            lines={entry: Line(place=marks[judge]) for entry, marks in rows.items()},
        )
        for judge in range(judges)
    ]


def scored(rows: Mapping[str, Sequence[float | None]]) -> list[SeatCard]:
    """A panel from a table of totals; ``None`` for an entry that a judge disqualified."""
    judges = len(next(iter(rows.values())))
    cards = []
    for judge in range(judges):
        totals = {entry: row[judge] for entry, row in rows.items()}
        ranked = [total for total in totals.values() if total is not None]
        lines = {
            entry: Line(place=None, tier=None)
            if total is None
            else Line(place=1 + sum(other > total for other in ranked), total=from_number(total))
            for entry, total in totals.items()
        }
        cards.append(SeatCard(seat="ABCDEFGHI"[judge], lines=lines))
    return cards


def places(rows: Sequence[Combined]) -> dict[str, int | None]:
    return {row.entry: row.place for row in rows}


def row_of(rows: Sequence[Combined], entry: str) -> Combined:
    return next(row for row in rows if row.entry == entry)


def orders(judges: st.SearchStrategy[int], most: int = 7) -> st.SearchStrategy[list[SeatCard]]:
    """Panels on which every judge puts the same entries in an order of their own, without ties."""

    def panel(drawn: tuple[int, int]) -> st.SearchStrategy[list[SeatCard]]:
        entries, seats = drawn
        names = [str(number) for number in range(1, entries + 1)]
        order = st.permutations(names)
        return st.lists(order, min_size=seats, max_size=seats).map(
            lambda all_orders: [
                placed_card("ABCDEFGHI"[seat], order, names)
                for seat, order in enumerate(all_orders)
            ]
        )

    return st.tuples(st.integers(1, most), judges).flatmap(panel)


def marked(most_entries: int = 6, most_judges: int = 6) -> st.SearchStrategy[list[SeatCard]]:
    """Panels with any marks at all: shared places, missing ones, even numbers of judges."""
    row = st.integers(1, most_judges).flatmap(
        lambda judges: st.lists(
            st.lists(st.none() | st.integers(1, most_entries), min_size=judges, max_size=judges),
            min_size=1,
            max_size=most_entries,
        )
    )
    return row.map(
        lambda rows: by_marks({str(number): marks for number, marks in enumerate(rows, start=1)})
    )
