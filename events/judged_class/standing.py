"""What the cards of a class come to under its rule book, at whatever version the state is."""

from collections.abc import Collection, Mapping
from itertools import accumulate, chain
from typing import assert_never

from events.judged_class.events import BasisLine, EntryExcused, EntryMissedGate, OutcomeCalled
from events.judged_class.state import Card, ClassState, Entry, Known, Ride
from events.rulebook.model import OutcomeKind, RuleBook
from events.scoring.orders import Basis, JudgesOrder
from events.scoring.placing import Placed, place, unsettled
from events.scoring.total import RideFacts, RideScore, judged, score, timed

OutcomeFact = Known[OutcomeCalled] | Known[EntryMissedGate] | Known[EntryExcused]
_NO_RIDE = Ride()


def running_entries(state: ClassState) -> tuple[Entry, ...]:
    """Entries that were not scratched, in working order; those not drawn yet come last."""
    drawn = [state.entries[entry] for entry in state.draw if entry in state.entries]
    waiting = [entry for entry in state.entries.values() if entry.id not in state.draw]
    return tuple(entry for entry in (*drawn, *waiting) if entry.scratched is None)


def versions(ride: Ride) -> tuple[int, ...]:
    """The versions of the events that put there what stands of a ride."""
    alone = (ride.rider_mark, ride.outcome, ride.time)
    return (
        *(known.version for known in ride.marks.values()),
        *(known.version for known in ride.penalties),
        *(known.version for known in ride.observations),
        *(known.version for known in alone if known is not None),
    )


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
    marks = {number: known.event.mark for number, known in ride.marks.items()}
    return RideFacts(
        marks=tuple(map(marks.get, range(1, count + 1))),
        penalties=tuple([known.event.points for known in ride.penalties]),
        rider_mark=ride.rider_mark.event.mark if ride.rider_mark else None,
        outcome=outcome_of(entry, ride),
        carried=entry.carried or 0,
    )


def ride_score(state: ClassState, card: Card, entry: Entry, book: RuleBook) -> RideScore:
    """What one entry's ride comes to on one card, as the rule book has the class judged."""
    ride = card.rides.get(entry.id, _NO_RIDE)
    match book.judging:
        case "scored":
            return score(book, ride_facts(state, entry, ride))
        case "timed":
            time = ride.time.event if ride.time else None
            total = time.milliseconds + time.penalty_milliseconds if time else None
            return timed(book, total, outcome_of(entry, ride))
        case "placed":
            order = card.placed.event.order if card.placed else ()
            place = order.index(entry.id) + 1 if entry.id in order else None
            return judged(
                book, place, outcome_of(entry, ride), finished=_was_left_out(state, card, entry)
            )
        case _:
            assert_never(book.judging)


def _was_left_out(state: ClassState, card: Card, entry: Entry) -> bool:
    """Whether a judge who does not place the entry said so with it in the class.

    A round that another follows may be judged by calling back alone (common practice). In a class
    ridden in sections the judge must have placed somebody of the entry's section.
    """
    if card.placed is not None:
        said = card.placed.version
        section = state.section(entry.id)
        named = {state.section(name) for name in card.placed.event.order}
        if state.sections and section not in named:
            return False
    elif card.called_back is not None and state.leads_on:
        said = card.called_back.version
    else:
        return False
    return said > entry.version and not any(out < said < back for out, back in entry.away)


def scores(
    state: ClassState, card: Card, book: RuleBook, among: Collection[str] | None = None
) -> Mapping[str, RideScore]:
    """The score of every running entry on one card, in working order, or of those ``among``."""
    return {
        entry.id: ride_score(state, card, entry, book)
        for entry in running_entries(state)
        if among is None or entry.id in among
    }


def sections(state: ClassState) -> Mapping[int, frozenset[str]]:
    """The running entries of each section by its number; empty where the class is ridden as one."""
    running = frozenset(entry.id for entry in running_entries(state))
    ends = enumerate(zip(state.sections, accumulate(state.sections), strict=True), start=1)
    return {
        number: running.intersection(state.draw[end - size : end]) for number, (size, end) in ends
    }


def rivals(state: ClassState, entry: str) -> frozenset[str] | None:
    """The running entries of an entry's section; ``None`` where it is placed among all."""
    number = state.section(entry)
    return None if number is None else sections(state)[number]


def divisions(
    state: ClassState, among: Collection[str] | None = None
) -> Mapping[str, frozenset[str]]:
    """The running entries of each division by its name, of all or of those ``among``."""
    running = [e for e in running_entries(state) if among is None or e.id in among]
    names = sorted({name for entry in running for name in entry.divisions})
    return {name: frozenset(e.id for e in running if name in e.divisions) for name in names}


def orders(card: Card, among: Collection[str] | None = None) -> tuple[JudgesOrder, ...]:
    """The standing orders of a card, oldest first, on the basis last confirmed.

    With ``among``, what they say of those entries.
    """
    every = tuple(
        JudgesOrder(
            order_id=order.event.order_id,
            by=order.event.by,
            order=order.event.order,
            basis=tuple(
                Basis(
                    entry=line.entry,
                    total=line.total,
                    outcome=line.outcome,
                    milliseconds=line.milliseconds,
                )
                for line in order.basis
            ),
        )
        for order in card.orders
    )
    return every if among is None else tuple(order.among(among) for order in every)


def basis(names: tuple[str, ...], known: Mapping[str, RideScore]) -> tuple[BasisLine, ...]:
    """What the named entries stand at now."""
    return tuple(
        BasisLine(
            entry=name,
            total=known[name].total,
            outcome=known[name].outcome,
            milliseconds=known[name].milliseconds,
        )
        for name in names
    )


def seat_placing(
    state: ClassState, card: Card, book: RuleBook, among: Collection[str] | None = None
) -> tuple[Placed, ...]:
    """The placing of one card: every running entry, or those ``among``, placed ones first.

    A class ridden in sections is placed section by section, which is how it comes here unless some
    entries are asked for; ``among`` may be everybody, to rank sections against one another.
    """
    if among is None and state.sections:
        parts = _parts(state)
        return tuple(chain.from_iterable(seat_placing(state, card, book, part) for part in parts))
    maneuvers = state.pattern.maneuvers if state.pattern else ()
    return place(book, scores(state, card, book, among), orders(card, among), maneuvers)


def stale_orders(state: ClassState, card: Card, book: RuleBook) -> tuple[str, ...]:
    """The ids of the orders on a card that no longer stand firm.

    The totals under them have moved, or somebody whom they do not name has joined a tie.
    """
    stale = {
        order.order_id
        for part in (_parts(state) if state.sections else (None,))
        for order in unsettled(
            orders(card, part),
            scores(state, card, book, part),
            seat_placing(state, card, book, part),
        )
    }
    return tuple(o.event.order_id for o in card.orders if o.event.order_id in stale)


def _parts(state: ClassState) -> tuple[frozenset[str], ...]:
    """The sections in turn, and last those who are in none since they were not drawn yet."""
    drawn = tuple(sections(state).values())
    waiting = frozenset(entry.id for entry in running_entries(state)).difference(*drawn)
    return (*drawn, waiting)


def class_size(state: ClassState, book: RuleBook, among: Collection[str] | None = None) -> int:
    """How many entries count as shown, of all or of those ``among``.

    Scratched ones never do; an entry with an outcome does if the rule book says so on any judge's
    card, so that one judge's call cannot shrink the class for the others.
    """
    return sum(
        _counts(state, entry, book)
        for entry in running_entries(state)
        if among is None or entry.id in among
    )


def _counts(state: ClassState, entry: Entry, book: RuleBook) -> bool:
    cards = [card for card in state.cards.values() if card.kind == "judge"]
    outcomes = {outcome_of(entry, card.rides.get(entry.id, _NO_RIDE)) for card in cards}
    if not cards:
        outcomes = {outcome_of(entry, _NO_RIDE)}
    rules = [book.outcome(outcome) if outcome else None for outcome in outcomes]
    return None in outcomes or any(rule is not None and rule.in_class_size for rule in rules)
