"""What moved in a class between two versions, and whose hand moved it."""

from collections.abc import Iterable, Mapping

import msgspec

from events.envelope import RecordedEvent, TextRef
from events.half_points import HalfPoints
from events.judged_class import events as happened
from events.projections.facts import FactKey, StandingFact, facts
from events.projections.history import History, Witness
from events.projections.placing import ClassPlacing, PlacingRow, placing
from events.rulebook.model import OutcomeKind, RuleBook


class FactChange(msgspec.Struct, frozen=True, kw_only=True):
    """One fact that came, went, or changed; ``None`` where there was or is none.

    ``witness`` is the event that made it so, ``reason`` why, when a reason was recorded. Neither
    is known for facts of the class as a whole that several events may have moved.
    """

    key: FactKey
    before: object
    after: object
    witness: Witness | None
    reason: TextRef | None


class Standing(msgspec.Struct, frozen=True, kw_only=True):
    """What an entry stood at on one card."""

    total: HalfPoints | None
    outcome: OutcomeKind | None
    place: int | None
    tied: bool


class StandingChange(msgspec.Struct, frozen=True, kw_only=True):
    """An entry whose total, outcome or place on a card is not what it was."""

    seat: str
    entry: str
    back_number: int
    before: Standing | None
    after: Standing | None


class Comparison(msgspec.Struct, frozen=True, kw_only=True):
    """All that differs between two versions of a class, the first the earlier."""

    earlier: int
    later: int
    changes: tuple[FactChange, ...]
    moved: tuple[StandingChange, ...]


def compare(history: History, earlier: int, later: int, book: RuleBook) -> Comparison:
    """Everything that moved from version ``earlier`` to version ``later``."""
    before, after = history.at_version(earlier), history.at_version(later)
    known_before, known_after = facts(before), facts(after)
    keys = sorted(known_before.keys() | known_after.keys())
    return Comparison(
        earlier=earlier,
        later=later,
        changes=tuple(
            _change(history, key, (known_before.get(key), known_after.get(key)), (earlier, later))
            for key in keys
            if _value(known_before.get(key)) != _value(known_after.get(key))
        ),
        moved=moved(placing(before, book), placing(after, book)),
    )


def applied(
    changes: Iterable[FactChange], to: Mapping[FactKey, object]
) -> Mapping[FactKey, object]:
    """The values that facts have once the changes are made to them."""
    values = dict(to)
    for change in changes:
        if change.after is None:
            del values[change.key]
        else:
            values[change.key] = change.after
    return values


def moved(before: ClassPlacing, after: ClassPlacing) -> tuple[StandingChange, ...]:
    """The entries whose standing on some card differs between two placings."""
    old, new = _standings(before), _standings(after)
    numbers = {
        row.entry: row.back_number
        for of in (before, after)
        for seat in of.seats
        for row in seat.rows
    }
    return tuple(
        StandingChange(
            seat=seat,
            entry=entry,
            back_number=numbers[entry],
            before=old.get((seat, entry)),
            after=new.get((seat, entry)),
        )
        for seat, entry in sorted(old.keys() | new.keys())
        if old.get((seat, entry)) != new.get((seat, entry))
    )


def _standings(of: ClassPlacing) -> dict[tuple[str, str], Standing]:
    return {(seat.seat, row.entry): _standing(row) for seat in of.seats for row in seat.rows}


def _standing(row: PlacingRow) -> Standing:
    return Standing(total=row.total, outcome=row.outcome, place=row.place, tied=row.tied)


def _value(fact: StandingFact | None) -> object:
    return None if fact is None else fact.value


def _change(
    history: History,
    key: FactKey,
    stood: tuple[StandingFact | None, StandingFact | None],
    span: tuple[int, int],
) -> FactChange:
    before, after = stood
    if after is not None:
        version = after.version
    else:
        version = _taken_by(history, key, before.version if before else 0, span)
    return FactChange(
        key=key,
        before=_value(before),
        after=_value(after),
        witness=history.witness(version) if version else None,
        reason=getattr(history.events[version - 1].data, "reason", None) if version else None,
    )


def _taken_by(history: History, key: FactKey, put_by: int, span: tuple[int, int]) -> int:
    """The version of the last event in the span that took the fact of that key away, else 0."""
    earlier, later = span
    for event in reversed(history.events[earlier:later]):
        if _takes(event, key, put_by):
            return event.version
    return 0


def _takes(recorded: RecordedEvent, key: FactKey, put_by: int) -> bool:
    match recorded.data:
        case happened.PenaltyWithdrawn(seat=seat, entry=entry, call=call):
            return key == FactKey("penalty", seat, entry, call)
        case happened.OutcomeLifted(seat=seat, entry=entry):
            return key == FactKey("outcome", seat, entry)
        case happened.OrderWithdrawn(seat=seat, order_id=order_id):
            return key == FactKey("order", seat, "", order_id)
        case happened.CardReopened(seat=seat):
            return key == FactKey("signature", seat)
        case happened.CorrectionMade(seat=seat, entry=entry, replaces=replaces):
            return (key.seat, key.entry) == (seat, entry) and replaces == put_by
        case _:
            return False
