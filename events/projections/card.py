"""A seat's card as it stands at a version: every fact with the event that put it there."""

import msgspec

from events.envelope import TextRef
from events.half_points import HalfPoints
from events.judged_class.events import (
    BasisLine,
    EntryMissedGate,
    OrderBy,
    OutcomeCalled,
)
from events.judged_class.standing import (
    outcome_fact,
    outcome_of,
    ride_score,
    running_entries,
    versions,
)
from events.judged_class.state import Card, CardKind, ClassState, Entry, Ride
from events.rulebook.model import OutcomeKind, RuleBook
from events.scoring.total import RideScore


class MarkLine(msgspec.Struct, frozen=True, kw_only=True):
    """The mark of one maneuver, ``None`` while it is not given; ``word`` as the trade says it."""

    maneuver: int
    name: str
    mark: HalfPoints | None
    word: str | None
    performed: str | None
    version: int | None


class PenaltyLine(msgspec.Struct, frozen=True, kw_only=True):
    """One penalty; ``wording`` is the rule book's, ``None`` when it was called by size alone."""

    call: str
    maneuver: int | None
    points: HalfPoints
    code: str | None
    wording: str | None
    version: int


class OutcomeLine(msgspec.Struct, frozen=True, kw_only=True):
    """An outcome other than a normal score; ``version`` names the event that called it."""

    kind: OutcomeKind
    wording: str
    maneuver: int | None
    reason: TextRef | None
    version: int


class ObservationLine(msgspec.Struct, frozen=True, kw_only=True):
    """A fault of position or performance that was noted."""

    observation: str
    code: str
    part: str
    wording: str
    maneuver: int | None
    note: TextRef | None
    version: int


class RideLine(msgspec.Struct, frozen=True, kw_only=True):
    """One entry's ride on the card; ``judges`` are those who judged it, in turn.

    A correction is nobody's judging: it is told by its own event.
    """

    entry: str
    working_order: int | None
    back_number: int
    marks: tuple[MarkLine, ...]
    penalties: tuple[PenaltyLine, ...]
    rider_mark: HalfPoints | None
    rider_mark_version: int | None
    outcome: OutcomeLine | None
    observations: tuple[ObservationLine, ...]
    score: RideScore
    milliseconds: int | None = None
    penalty_milliseconds: int | None = None
    time_version: int | None = None
    carried: HalfPoints | None = None
    carried_version: int
    judges: tuple[str, ...] = ()


class OrderLine(msgspec.Struct, frozen=True, kw_only=True):
    """An order that stands on the card."""

    order_id: str
    by: OrderBy
    order: tuple[str, ...]
    basis: tuple[BasisLine, ...]
    reason: TextRef | None
    version: int
    confirmed: int | None


class CardView(msgspec.Struct, frozen=True, kw_only=True):
    """A whole card; ``signed`` is the version of the signature that stands."""

    seat: str
    judge: str
    kind: CardKind
    signed: int | None
    rides: tuple[RideLine, ...]
    orders: tuple[OrderLine, ...]
    placed: tuple[str, ...] | None = None
    called_back: tuple[str, ...] | None = None
    judges_before: tuple[str, ...] = ()


_NO_RIDE = Ride()


def card_view(state: ClassState, card: Card, book: RuleBook) -> CardView:
    """The card with a line for every running entry, in working order."""
    return CardView(
        seat=card.seat,
        judge=card.judge,
        kind=card.kind,
        signed=card.signed,
        rides=tuple(_ride(state, card, entry, book) for entry in running_entries(state)),
        orders=tuple(
            OrderLine(
                order_id=order.event.order_id,
                by=order.event.by,
                order=order.event.order,
                basis=order.basis,
                reason=order.event.reason,
                version=order.version,
                confirmed=order.confirmed,
            )
            for order in card.orders
        ),
        placed=card.placed.event.order if card.placed else None,
        called_back=card.called_back.event.entries if card.called_back else None,
        judges_before=tuple(judge for judge, _ in card.before),
    )


def _ride(state: ClassState, card: Card, entry: Entry, book: RuleBook) -> RideLine:
    ride = card.rides.get(entry.id, _NO_RIDE)
    return RideLine(
        entry=entry.id,
        working_order=state.working_order(entry.id),
        back_number=entry.back_number,
        marks=_marks(state, ride, book),
        penalties=_penalties(ride, book),
        rider_mark=ride.rider_mark.event.mark if ride.rider_mark else None,
        rider_mark_version=ride.rider_mark.version if ride.rider_mark else None,
        outcome=_outcome(entry, ride, book),
        observations=_observations(ride, book),
        score=ride_score(state, card, entry, book),
        milliseconds=ride.time.event.milliseconds if ride.time else None,
        penalty_milliseconds=ride.time.event.penalty_milliseconds if ride.time else None,
        time_version=ride.time.version if ride.time else None,
        carried=entry.carried,
        carried_version=entry.carried_at or entry.version,
        judges=_judges(card, ride),
    )


def _judges(card: Card, ride: Ride) -> tuple[str, ...]:
    until = card.signed
    judged = sorted(v for v in versions(ride) if until is None or v < until)
    return tuple(dict.fromkeys(card.judge_at(version) for version in judged))


def _marks(state: ClassState, ride: Ride, book: RuleBook) -> tuple[MarkLine, ...]:
    lines = []
    for number, name in enumerate(state.pattern.maneuvers if state.pattern else (), start=1):
        known = ride.marks.get(number)
        lines.append(
            MarkLine(
                maneuver=number,
                name=name,
                mark=known.event.mark if known else None,
                word=book.scale.mark.word_for(known.event.mark) if known else None,
                performed=known.event.performed if known else None,
                version=known.version if known else None,
            )
        )
    return tuple(lines)


def _penalties(ride: Ride, book: RuleBook) -> tuple[PenaltyLine, ...]:
    lines = []
    for known in ride.penalties:
        rule = book.penalty(known.event.code) if known.event.code else None
        lines.append(
            PenaltyLine(
                call=known.event.call,
                maneuver=known.event.maneuver,
                points=known.event.points,
                code=known.event.code,
                wording=rule.wording if rule else None,
                version=known.version,
            )
        )
    return tuple(lines)


def _outcome(entry: Entry, ride: Ride, book: RuleBook) -> OutcomeLine | None:
    known, kind = outcome_fact(entry, ride), outcome_of(entry, ride)
    if known is None or kind is None:
        return None
    rule = book.outcome(kind)
    event = known.event
    return OutcomeLine(
        kind=kind,
        wording=rule.wording if rule else kind.replace("_", " "),
        maneuver=event.maneuver if isinstance(event, OutcomeCalled) else None,
        reason=None if isinstance(event, EntryMissedGate) else event.reason,
        version=known.version,
    )


def _observations(ride: Ride, book: RuleBook) -> tuple[ObservationLine, ...]:
    rules = {fault.code: fault for fault in book.faults}
    lines = []
    for known in ride.observations:
        rule = rules.get(known.event.code)
        lines.append(
            ObservationLine(
                observation=known.event.observation,
                code=known.event.code,
                part=rule.part if rule else "",
                wording=rule.wording if rule else known.event.code,
                maneuver=known.event.maneuver,
                note=known.event.note,
                version=known.version,
            )
        )
    return tuple(lines)
