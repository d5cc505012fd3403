"""What moved in a class between two versions, and whose hand moved it."""

from collections.abc import Iterable, Mapping, Sequence
from typing import cast

import msgspec

from events.envelope import RecordedEvent, TextRef
from events.half_points import HalfPoints
from events.judged_class.events import ClassEvent
from events.judged_class.evolve import evolve
from events.judged_class.state import ClassState
from events.projections.facts import FactKey, StandingFact, fact, facts
from events.projections.history import History, Witness, witness_of
from events.projections.placing import ClassPlacing, PlacingRow, placing
from events.refusals import Refusal
from events.rulebook.model import OutcomeKind, RuleBook


class FactChange(msgspec.Struct, frozen=True, kw_only=True):
    """One fact that came, went, or changed; ``None`` where there was or is none.

    ``witness`` is the last event that moved it, ``reason`` why, when a reason was recorded.
    """

    key: FactKey
    before: object
    after: object
    witness: Witness
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
    """Everything that moved from version ``earlier`` to version ``later``.

    Raises ``Refusal`` for versions that the class does not have or that come in the other order.
    """
    if earlier > later:
        raise Refusal(
            "moments_reversed", f"Event {earlier} comes after event {later}.", field="earlier"
        )
    before, after = history.at_version(earlier), history.at_version(later)
    return Comparison(
        earlier=earlier,
        later=later,
        changes=_changes(history.events[earlier:later], before, after),
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


def _changes(
    between: Sequence[RecordedEvent], before: ClassState, after: ClassState
) -> tuple[FactChange, ...]:
    old, new = facts(before), facts(after)
    keys = [key for key in sorted(old.keys() | new.keys()) if _value(old, key) != _value(new, key)]
    movers = _movers(between, before, [key for key in keys if _version(new, key) is None])
    changes = []
    for key in keys:
        version = _version(new, key) or movers[key]
        event = between[version - before.version - 1]
        changes.append(
            FactChange(
                key=key,
                before=_value(old, key),
                after=_value(new, key),
                witness=witness_of(event),
                reason=getattr(event.data, "reason", None),
            )
        )
    return tuple(changes)


def _movers(
    between: Sequence[RecordedEvent], state: ClassState, keys: Sequence[FactKey]
) -> Mapping[FactKey, int]:
    """The version of the last event that moved each of these facts."""
    movers: dict[FactKey, int] = {}
    values = {key: fact(state, key) for key in keys}
    for event in between if keys else ():
        state = evolve(state, cast("ClassEvent", event.data))
        for key in keys:
            now = fact(state, key)
            if now != values[key]:
                movers[key], values[key] = event.version, now
    return movers


def _value(of: Mapping[FactKey, StandingFact], key: FactKey) -> object:
    return of[key].value if key in of else None


def _version(of: Mapping[FactKey, StandingFact], key: FactKey) -> int | None:
    return of[key].version if key in of else None
