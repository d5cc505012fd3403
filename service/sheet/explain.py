"""Why the entries of a seat stand where they stand, in sentences."""

from collections.abc import Iterator
from itertools import groupby

from events.half_points import to_text
from events.projections.card import CardView, RideLine
from events.projections.placing import SeatPlacing
from events.rulebook.model import RuleBook
from service.sheet.score import Scored
from service.sheet.warn import named

_STEPS = {
    "rail_work": "rail work",
    "fewest_penalty_points": "fewest penalty points",
    "call_judge": "the call judge",
    "run_off": "a run-off",
    "judges_decision": "the judge's decision",
}
_BY_A_JUDGE = {"rail_work", "run_off", "judges_decision"}
"""Steps that a judge's order settles; the others follow from the card alone."""


def explanations(scored: Scored, seat: SeatPlacing, card: CardView) -> list[str]:
    """Outcomes, orders, ties that the book's steps parted, ties that stand, and faults noted."""
    return [
        *_outcomes(scored, card),
        *_orders(scored, card),
        *_parted(scored.book, seat),
        *_shared(scored.book, seat),
        *_observed(scored, card),
    ]


def _outcomes(scored: Scored, card: CardView) -> Iterator[str]:
    for ride in card.rides:
        if ride.outcome is None:
            continue
        said = f"{outcome_word(ride.outcome.kind).capitalize()}: {named(ride)}"
        if ride.outcome.maneuver is not None:
            said += f", at {_maneuver(ride, ride.outcome.maneuver)}"
        if ride.outcome.reason is not None:
            said += f": {_flat(scored.texts[ride.outcome.reason])}"
        yield f"{said}. {_standing(ride)}"


def outcome_word(kind: str) -> str:
    """An outcome as the trade says it: ``off pattern``."""
    return kind.replace("_", " ")


def _standing(ride: RideLine) -> str:
    if ride.score.tier is None:
        return "It takes no place."
    if ride.score.missing:
        return "It has no total yet."
    below = "every complete run" if ride.score.tier == 1 else "those with a better outcome"
    return f"It is placed below {below}."


def _orders(scored: Scored, card: CardView) -> Iterator[str]:
    for order in card.orders:
        reason = "" if order.reason is None else f": {_flat(scored.texts[order.reason])}"
        by = _STEPS[order.by].removeprefix("a ").removeprefix("the ")
        yield f"{by.capitalize()}: {', '.join(order.order)} in this order{reason}."


def _parted(book: RuleBook, seat: SeatPlacing) -> Iterator[str]:
    parted = groupby(seat.rows, key=lambda row: (row.section, row.total, row.parted_by))
    for (_, total, step), rows in parted:
        if step is None or step in _BY_A_JUDGE or total is None:
            continue
        entries = [row.entry for row in rows]
        yield f"Equal at {to_text(total)}: {', '.join(entries)}, parted by {_step(book, step)}."


def _shared(book: RuleBook, seat: SeatPlacing) -> Iterator[str]:
    tied = [row for row in seat.rows if row.tied]
    for (section, place), rows in groupby(tied, key=lambda row: (row.section, row.place)):
        of = "" if section is None else f" of section {section}"
        entries = ", ".join(row.entry for row in rows)
        steps = dict.fromkeys(_STEPS[tie.step] for tie in book.ties if tie.step in _BY_A_JUDGE)
        settles = f"; {' or '.join(steps)} may part them" if steps else ""
        yield f"Place {place}{of} is shared by {entries}{settles}."


def _observed(scored: Scored, card: CardView) -> Iterator[str]:
    for ride in card.rides:
        noted = []
        for line in ride.observations:
            at = "" if line.maneuver is None else f" at {_maneuver(ride, line.maneuver)}"
            note = "" if line.note is None else f": {_flat(scored.texts[line.note])}"
            noted.append(f"{line.wording}{at}{note}")
        if noted:
            yield f"Noted: {named(ride)}: {'; '.join(noted)}."


def _step(book: RuleBook, step: str) -> str:
    if step == "rider_mark" and book.scale.rider_mark is not None:
        return book.scale.rider_mark.name.lower()
    if step == "named_maneuver":
        maneuvers = [tie.maneuver for tie in book.ties if tie.step == step and tie.maneuver]
        return f"the mark for {' or '.join(maneuvers)}"
    return _STEPS[step]


def _maneuver(ride: RideLine, number: int) -> str:
    return f"maneuver {number} ({ride.marks[number - 1].name})"


def _flat(text: str) -> str:
    return " ".join(text.split()).rstrip(".")
