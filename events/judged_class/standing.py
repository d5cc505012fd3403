"""What the cards of a class come to under its rule book, at whatever version the state is."""

from collections.abc import Mapping

from events.judged_class.events import BasisLine, EntryExcused, EntryMissedGate, OutcomeCalled
from events.judged_class.state import Card, ClassState, Entry, Known, Ride
from events.rulebook.model import OutcomeKind, RuleBook
from events.scoring.orders import Basis, JudgesOrder
from events.scoring.placing import Placed, place, unsettled
from events.scoring.total import RideFacts, RideScore, score

OutcomeFact = Known[OutcomeCalled] | Known[EntryMissedGate] | Known[EntryExcused]
_NO_RIDE = Ride()


def running_entries(state: ClassState) -> tuple[Entry, ...]:
    """Entries that were not scratched, in working order; those not drawn yet come last."""
    drawn = [state.entries[entry] for entry in state.draw if entry in state.entries]
    waiting = [entry for entry in state.entries.values() if entry.id not in state.draw]
    return tuple(entry for entry in (*drawn, *waiting) if entry.scratched is None)


def outcome_fact(entry: Entry, ride: Ride) -> OutcomeFact | None:
    """What decided the outcome that counts.

    An entry that was excused leaves every card, whatever its judge had called before, but for a
    disqualification, which stands.
    """
    called = ride.outcome
    if entry.gate is None or (called is not None and called.event.kind == "disqualified"):
        return called
    return entry.gate


def outcome_of(entry: Entry, ride: Ride) -> OutcomeKind | None:
    """The outcome that counts: what the gate or an official decided, or the judge's call."""
    known = outcome_fact(entry, ride)
    if known is None:
        return None
    if isinstance(known.event, OutcomeCalled):
        return known.event.kind
    return "missed_gate" if isinstance(known.event, EntryMissedGate) else "excused"


def ride_facts(state: ClassState, entry: Entry, ride: Ride) -> RideFacts:
    """The ride as the scoring reads it, with a place for each maneuver of the pattern."""
    count = len(state.pattern.maneuvers) if state.pattern else 0
    marks = ride.marks
    return RideFacts(
        marks=tuple(
            marks[number].event.mark if number in marks else None for number in range(1, count + 1)
        ),
        penalties=tuple(known.event.points for known in ride.penalties),
        rider_mark=ride.rider_mark.event.mark if ride.rider_mark else None,
        outcome=outcome_of(entry, ride),
    )


def scores(state: ClassState, card: Card, book: RuleBook) -> Mapping[str, RideScore]:
    """The score of every running entry on one card, in working order."""
    return {
        entry.id: score(book, ride_facts(state, entry, card.rides.get(entry.id, _NO_RIDE)))
        for entry in running_entries(state)
    }


def orders(card: Card) -> tuple[JudgesOrder, ...]:
    """The standing orders of a card, oldest first, on the basis last confirmed."""
    return tuple(
        JudgesOrder(
            order_id=order.event.order_id,
            by=order.event.by,
            order=order.event.order,
            basis=tuple(
                Basis(entry=line.entry, total=line.total, outcome=line.outcome)
                for line in order.basis
            ),
        )
        for order in card.orders
    )


def basis(names: tuple[str, ...], known: Mapping[str, RideScore]) -> tuple[BasisLine, ...]:
    """What the named entries stand at now."""
    return tuple(
        BasisLine(entry=name, total=known[name].total, outcome=known[name].outcome)
        for name in names
    )


def seat_placing(state: ClassState, card: Card, book: RuleBook) -> tuple[Placed, ...]:
    """The placing of one card: every running entry, placed ones first."""
    maneuvers = state.pattern.maneuvers if state.pattern else ()
    return place(book, scores(state, card, book), orders(card), maneuvers)


def stale_orders(state: ClassState, card: Card, book: RuleBook) -> tuple[str, ...]:
    """The ids of the orders on a card that no longer stand firm.

    The totals under them have moved, or somebody whom they do not name has joined a tie.
    """
    rows = seat_placing(state, card, book)
    stale = unsettled(orders(card), scores(state, card, book), rows)
    return tuple(order.order_id for order in stale)


def class_size(state: ClassState, book: RuleBook) -> int:
    """How many entries count as shown.

    Scratched ones never do; an entry with an outcome does if the rule book says so on any judge's
    card, so that one judge's call cannot shrink the class for the others.
    """
    return sum(1 for entry in running_entries(state) if _counts(state, entry, book))


def _counts(state: ClassState, entry: Entry, book: RuleBook) -> bool:
    cards = [card for card in state.cards.values() if card.kind == "judge"]
    outcomes = {outcome_of(entry, card.rides.get(entry.id, _NO_RIDE)) for card in cards}
    if not cards:
        outcomes = {outcome_of(entry, _NO_RIDE)}
    rules = [book.outcome(outcome) if outcome else None for outcome in outcomes]
    return None in outcomes or any(rule is not None and rule.in_class_size for rule in rules)
