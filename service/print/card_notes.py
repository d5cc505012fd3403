"""What is written on a card besides marks: calls, outcomes, orders, faults noted, corrections."""

from collections.abc import Iterator, Sequence

from events.envelope import TextRef
from events.judged_class.events import Authority
from events.judged_class.state import ClassState
from events.projections.card import CardView, RideLine
from service.desk.look import ClassLook
from service.print.words import outcome_words, points, step_words

AUTHORITIES: dict[Authority, str] = {
    "judge": "the judge",
    "office_error": "the office, for its own error",
    "ruling": "a ruling",
}


def notes(seen: ClassLook, view: CardView) -> tuple[str, ...]:
    """Everything as sentences: ride by ride, then the orders, then what was corrected."""
    rides = [
        line for ride in view.rides for line in (*_judged(seen, view, ride), *_of_ride(seen, ride))
    ]
    return (*rides, *_orders(seen, view), *_called_back(seen, view), *_corrected(seen, view.seat))


def numbers(state: ClassState, entries: Sequence[str]) -> str:
    """Entries by their back numbers."""
    return ", ".join(str(state.entries[entry].back_number) for entry in entries)


def because(seen: ClassLook, reason: TextRef | None) -> str:
    """A reason as it closes a sentence."""
    return "" if reason is None else f": {seen.names.text(reason).rstrip('.')}"


def _judged(seen: ClassLook, view: CardView, ride: RideLine) -> Iterator[str]:
    """Who judged the ride, where that was not whoever has the card now alone."""
    if ride.judges and ride.judges != (view.judge,):
        hands = " and ".join(seen.names.person(judge) for judge in ride.judges)
        yield f"Back number {ride.back_number}: judged by {hands}."


def _of_ride(seen: ClassLook, ride: RideLine) -> Iterator[str]:
    back = f"Back number {ride.back_number}"
    for mark in ride.marks:
        cap = seen.book.cap(mark.performed) if mark.performed else None
        if cap is not None:
            yield f"{back}, maneuver {mark.maneuver}: {cap.wording}."
    for call in ride.penalties:
        what = call.wording or "called by its size"
        yield f"{back}{_at(call.maneuver)}: penalty {points(call.points)}, {what}."
    if (outcome := ride.outcome) is not None:
        called = f"{outcome_words(outcome.kind)}{because(seen, outcome.reason)}"
        yield f"{back}{_at(outcome.maneuver)}: {called}."
    for noted in ride.observations:
        yield f"{back}{_at(noted.maneuver)}: noted: {noted.wording}{because(seen, noted.note)}."


def _orders(seen: ClassLook, view: CardView) -> Iterator[str]:
    for order in view.orders:
        by = step_words(order.by, seen.book).removeprefix("a ").removeprefix("the ").capitalize()
        confirmed = f", confirmed at event {order.confirmed}" if order.confirmed else ""
        ranked = numbers(seen.state, order.order)
        why = because(seen, order.reason)
        yield f"{by}, best first: {ranked} (event {order.version}{confirmed}){why}."


def _called_back(seen: ClassLook, view: CardView) -> Iterator[str]:
    if view.called_back is not None:
        yield f"Called back: {numbers(seen.state, view.called_back) or 'nobody'}."


def _corrected(seen: ClassLook, seat: str) -> Iterator[str]:
    for known in seen.state.corrections.values():
        made = known.event
        if made.seat == seat:
            back = seen.state.entries[made.entry].back_number
            yield (
                f"Corrected after signing, back number {back} (event {known.version}, on the word "
                f"of {AUTHORITIES[made.authority]}){because(seen, made.reason)}."
            )


def _at(maneuver: int | None) -> str:
    return "" if maneuver is None else f", maneuver {maneuver}"
