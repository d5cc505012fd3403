"""Why a total is what it is, and why a place is what it is, down to each event."""

from collections.abc import Sequence
from typing import Literal

import msgspec

from events.half_points import HalfPoints, to_text
from events.judged_class.references import card_of
from events.judged_class.standing import orders, rivals, scores
from events.judged_class.state import Card, ClassState
from events.projections.card import RideLine, card_view
from events.projections.history import History, Witness
from events.refusals import Refusal
from events.rulebook.model import RuleBook
from events.scoring.placing import Placed, place
from events.scoring.total import RideScore

TermKind = Literal["base", "carried", "mark", "rider_mark", "penalty", "bound", "outcome"]


class Term(msgspec.Struct, frozen=True, kw_only=True):
    """One term of a total: what it is, what it adds (half points), the event behind it."""

    kind: TermKind
    says: str
    points: HalfPoints
    witness: Witness | None


class PlaceStep(msgspec.Struct, frozen=True, kw_only=True):
    """Where the entry stood after one step of the placing, and which orders took part."""

    step: str
    says: str
    place: int
    tied: bool
    witnesses: tuple[Witness, ...]


class Explanation(msgspec.Struct, frozen=True, kw_only=True):
    """Every term of an entry's total on one card and every step that gave its place.

    The place is that in ``section``, where the class is ridden in sections. The terms add up to
    ``total`` unless the outcome leaves none.
    """

    version: int
    seat: str
    entry: str
    working_order: int | None
    back_number: int
    total: HalfPoints | None
    place: int | None
    tied: bool
    terms: tuple[Term, ...]
    steps: tuple[PlaceStep, ...]
    outcome: str | None
    outcome_witness: Witness | None
    missing: tuple[str, ...]
    section: int | None = None


def explain(
    history: History, version: int, book: RuleBook, *, seat: str, entry: str
) -> Explanation:
    """Why ``entry`` stands where it stands on the card of ``seat`` at ``version``.

    Raises ``Refusal`` when there is no such seat or entry at that version.
    """
    state = history.at_version(version)
    card = card_of(state, seat)
    known = state.entries.get(entry)
    if known is None:
        raise Refusal("unknown_entry", f"No entry has the id {entry}.", field="entry", entry=entry)
    line = next((ride for ride in card_view(state, card, book).rides if ride.entry == entry), None)
    if line is None:
        raise Refusal(
            "entry_scratched", f"Back number {known.back_number} was scratched.", field="entry"
        )
    steps = _steps(history, state, book, (card, entry))
    last = steps[-1] if steps else None
    outcome = line.outcome
    return Explanation(
        version=version,
        seat=seat,
        entry=entry,
        working_order=line.working_order,
        back_number=line.back_number,
        total=line.score.total,
        place=last.place if last else None,
        tied=last.tied if last else False,
        terms=_terms(history, book, line),
        steps=steps,
        outcome=outcome.wording if outcome else None,
        outcome_witness=history.witness(outcome.version) if outcome else None,
        missing=tuple(_missing_words(part) for part in line.score.missing),
        section=state.section(entry),
    )


def _missing_words(part: int | str) -> str:
    return f"maneuver {part}" if isinstance(part, int) else f"the {part.replace('_', ' ')}"


def _terms(history: History, book: RuleBook, line: RideLine) -> tuple[Term, ...]:
    if book.judging != "scored":
        return ()
    terms = [Term(kind="base", says="Base of the scale", points=book.scale.base, witness=None)]
    if line.carried is not None:
        carried = history.witness(line.carried_version)
        says = "Carried from the round before"
        terms.append(Term(kind="carried", says=says, points=line.carried, witness=carried))
    terms += [
        Term(
            kind="mark",
            says=f"Maneuver {mark.maneuver}, {mark.name}: {mark.word or 'marked'}",
            points=mark.mark,
            witness=history.witness(mark.version),
        )
        for mark in line.marks
        if mark.mark is not None and mark.version is not None
    ]
    if line.rider_mark is not None and line.rider_mark_version is not None:
        name = book.scale.rider_mark.name if book.scale.rider_mark else "Rider"
        terms.append(
            Term(
                kind="rider_mark",
                says=name,
                points=line.rider_mark,
                witness=history.witness(line.rider_mark_version),
            )
        )
    terms += [
        Term(
            kind="penalty",
            says=_penalty_words(penalty.maneuver, penalty.wording),
            points=-penalty.points,
            witness=history.witness(penalty.version),
        )
        for penalty in line.penalties
    ]
    return (*terms, *_closing(history, book, line, sum(term.points for term in terms)))


def _penalty_words(maneuver: int | None, wording: str | None) -> str:
    where = f"Penalty at maneuver {maneuver}" if maneuver else "Penalty"
    return f"{where}: {wording}" if wording else f"{where}, called by its size"


def _closing(
    history: History, book: RuleBook, line: RideLine, so_far: HalfPoints
) -> tuple[Term, ...]:
    """What brings the sum to the total where an outcome or a bound of the scale sets it."""
    total = line.score.total
    if total is None or total == so_far:
        return ()
    rule = book.outcome(line.outcome.kind) if line.outcome else None
    if line.outcome is not None and rule is not None and rule.total == "zero":
        witness = history.witness(line.outcome.version)
        return (Term(kind="outcome", says=rule.wording, points=-so_far, witness=witness),)
    edge = "Lowest" if total > so_far else "Highest"
    says = f"{edge} total of the scale is {to_text(total)}"
    return (Term(kind="bound", says=says, points=total - so_far, witness=None),)


def _steps(
    history: History, state: ClassState, book: RuleBook, of: tuple[Card, str]
) -> tuple[PlaceStep, ...]:
    """The entry's place by totals, then after each step that changed it.

    Each step is the very placing that counts, under a rule book cut short after that step.
    """
    card, entry = of
    among = rivals(state, entry)
    known, standing = scores(state, card, book, among), orders(card, among)
    maneuvers = state.pattern.maneuvers if state.pattern else ()
    steps: list[PlaceStep] = []
    for name, cut in _cuts(book):
        row = next(r for r in place(cut, known, standing, maneuvers) if r.entry == entry)
        if row.place is None:
            return ()
        if steps and (steps[-1].place, steps[-1].tied) == (row.place, row.tied):
            continue
        steps.append(
            PlaceStep(
                step=name,
                says=_step_words(name, row, known[entry]),
                place=row.place,
                tied=row.tied,
                witnesses=_order_witnesses(history, card, name, entry),
            )
        )
    return tuple(steps)


def _cuts(book: RuleBook) -> Sequence[tuple[str, RuleBook]]:
    still = msgspec.structs.replace(
        book.rail, role="ties" if book.rail.role == "adjusts" else book.rail.role
    )
    by_totals = msgspec.structs.replace(book, ties=(), rail=still)
    cuts = [("total", by_totals)]
    for count, step in enumerate(book.ties, start=1):
        cuts.append((step.step, msgspec.structs.replace(book, ties=book.ties[:count], rail=still)))
    if book.rail.role == "adjusts":
        cuts.append(("rail_adjusted", book))
    return cuts


def _step_words(name: str, row: Placed, ride: RideScore) -> str:
    shared = ", shared" if row.tied else ""
    if name == "total":
        below = ", below every complete run" if ride.tier else ""
        return f"By {_ranked_by(ride)}{below}: place {row.place}{shared}"
    how = "rail work" if name == "rail_adjusted" else name.replace("_", " ")
    return f"After {how}: place {row.place}{shared}"


def _ranked_by(ride: RideScore) -> str:
    if ride.milliseconds is not None:
        return f"time {ride.milliseconds // 1000}.{ride.milliseconds % 1000:03} seconds"
    if ride.judged is not None:
        return "the judge's placing"
    return f"total {to_text(ride.total)}" if ride.total is not None else "no total"


def _order_witnesses(history: History, card: Card, name: str, entry: str) -> tuple[Witness, ...]:
    by = "rail_work" if name == "rail_adjusted" else name
    return tuple(
        history.witness(version)
        for order in card.orders
        if order.event.by == by and entry in order.event.order
        for version in (order.version, order.confirmed)
        if version is not None
    )


def as_text(of: Explanation) -> tuple[str, ...]:
    """The explanation as lines that a rider can be handed."""
    place_now = (
        "no place" if of.place is None else f"place {of.place}{' (shared)' if of.tied else ''}"
    )
    within = "" if of.section is None else f" in section {of.section}"
    card = f"card of seat {of.seat}, event {of.version}"
    lines = [f"Back number {of.back_number}, {card}: {place_now}{within}."]
    lines += [_term_line(term) for term in of.terms]
    if of.total is not None:
        lines.append(f"{to_text(of.total):>8}  Total")
    if of.outcome:
        lines.append(f"Outcome: {of.outcome}.{_by(of.outcome_witness)}")
    if of.missing:
        lines.append(f"Still missing: {', '.join(of.missing)}.")
    for step in of.steps:
        lines.append(f"{step.says}.{''.join(_by(witness) for witness in step.witnesses)}")
    return tuple(lines)


def _term_line(term: Term) -> str:
    points = to_text(term.points) if term.kind == "base" else to_text(term.points, signed=True)
    return f"{points:>8}  {term.says}{_by(term.witness)}"


def _by(witness: Witness | None) -> str:
    if witness is None:
        return ""
    device = f", device {witness.actor.device}" if witness.actor.device else ""
    return (
        f" [event {witness.version}: {witness.actor.role}, key {witness.actor.key}{device}; "
        f"occurred {witness.occurred_at:%Y-%m-%d %H:%M:%S}, "
        f"recorded {witness.recorded_at:%Y-%m-%d %H:%M:%S} UTC]"
    )
