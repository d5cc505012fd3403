"""Whether the parts of a sheet fit one another, before any rule of the trade is asked."""

from collections.abc import Iterator, Sequence

from service.sheet.faults import Path, json_path
from service.sheet.model import Sheet, SheetCard

Found = Iterator[tuple[Path, str]]


def contradictions(sheet: Sheet, *, entries_known: bool) -> Found:
    """What stands twice, and who is named without being entered.

    The latter is left alone unless ``entries_known``, that is while some entry could not be read.
    """
    entries = [((*entry.path, "entry"), entry.entry) for entry in sheet.entries]
    yield from _twice("Entry", entries)
    yield from _twice("Seat", [((*card.path, "seat"), card.seat) for card in sheet.cards])
    yield from _sections(sheet)
    for card in sheet.cards:
        if card.judging != sheet.judging and not (card.learner and card.judging == "placed"):
            yield card.path, "The judges' cards of a sheet all score, all place, or all hold times."
        placed = [((*card.path, "placed", at), entry) for at, entry in enumerate(card.placed)]
        yield from _twice("Entry", placed)
        yield from _twice("Entry", [((*time.path, "entry"), time.entry) for time in card.times])
        yield from _twice("Entry", [((*ride.path, "entry"), ride.entry) for ride in card.rides])
        if entries_known:
            yield from _unknown(card, {entry for _, entry in entries})


def _sections(sheet: Sheet) -> Found:
    """Either nobody rides in a section or everybody who was not scratched, and none is empty."""
    running = [entry for entry in sheet.entries if not entry.scratched]
    named = {entry.section for entry in running} - {None}
    for entry in running:
        path = (*entry.path, "section")
        if named and entry.section is None:
            yield (
                path,
                f"Other entries ride in a section: say in which one entry {entry.entry} does.",
            )
        elif entry.section is not None and entry.section > len(named):
            empty = next(n for n in range(1, entry.section) if n not in named)
            yield path, f"Sections are numbered from 1, and nobody rides in section {empty}."


def _twice(what: str, named: Sequence[tuple[Path, str]]) -> Found:
    first: dict[str, Path] = {}
    for path, name in named:
        earlier = first.setdefault(name, path)
        if earlier != path:
            yield path, f"{what} {name} stands at {json_path(earlier)} already."


def _unknown(card: SheetCard, known: set[str]) -> Found:
    named = [((*ride.path, "entry"), ride.entry) for ride in card.rides]
    named += [((*card.path, "placed", at), entry) for at, entry in enumerate(card.placed)]
    named += [((*time.path, "entry"), time.entry) for time in card.times]
    for order in card.rail:
        named += [((*order.path, "order", at), entry) for at, entry in enumerate(order.order)]
    for path, entry in named:
        if entry not in known:
            yield path, f"There is no entry {entry} in this class."
