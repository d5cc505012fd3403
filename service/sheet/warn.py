"""What whoever reads the result of a sheet ought to know, in sentences."""

from collections.abc import Sequence

from events.projections.card import CardView, RideLine
from events.rulebook.model import RuleBook


def unfinished(card: CardView, book: RuleBook) -> tuple[str, ...]:
    """A sentence for every ride on the card that still wants a mark."""
    return tuple(
        f"Seat {card.seat}: {_missing(ride, book)}; it has no total yet."
        for ride in card.rides
        if ride.score.missing
    )


def kept_in_line(seat: str, given: Sequence[str], taken: Sequence[str], book: RuleBook) -> str:
    """That an order would have lifted a run over a line that the rule book holds."""
    return (
        f"Seat {seat}: the order {', '.join(given)} would lift a run over one with a better "
        f"outcome, which {book.title} does not allow; it counts as {', '.join(taken)}."
    )


def named(ride: RideLine) -> str:
    """An entry by both of its numbers, so that neither is taken for the other."""
    return f"entry {ride.entry} (back number {ride.back_number})"


def _missing(ride: RideLine, book: RuleBook) -> str:
    if ride.rider_mark is None and all(line.mark is None for line in ride.marks):
        return f"nothing is marked for {named(ride)}"
    wanted = [f"maneuver {line.maneuver} ({line.name})" for line in ride.marks if line.mark is None]
    if book.scale.rider_mark is not None and ride.rider_mark is None:
        wanted.append(book.scale.rider_mark.name)
    return f"{named(ride)} still wants a mark for {', '.join(wanted)}"
