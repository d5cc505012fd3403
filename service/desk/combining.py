"""Combining two small classes at the desk: both streams move together, or neither does."""

import msgspec

from events.envelope import Event, NewEvent, stream_of
from events.judged_class.commands import AcceptEntry, CombineClass, CombineInto
from events.judged_class.evolve import fold
from events.judged_class.state import ClassState, Entry
from events.refusals import Refusal
from service.desk import eligibility, many
from service.desk.caller import Ask, Receipt
from service.desk.carry_out import scheduled
from service.desk.classes import decided_on
from service.desk.desk import Desk
from service.desk.fingerprint import fingerprint
from service.desk.texts import sealed
from service.store import texts
from service.store.batch import CommandRecord
from service.store.errors import ConcurrencyGaveUp, NotTogether, WrongExpectedVersion
from service.store.ids import new_id
from service.store.texts import SealedText

ATTEMPTS = 4


class Combination(msgspec.Struct, frozen=True, kw_only=True):
    """Another class to be taken in, and what the two are called as divisions, and why."""

    other: str
    division: str
    own_division: str
    reason: str


Moves = tuple[tuple[Event, ...], tuple[SealedText, ...]]
"""Events of one class, and the texts that they name."""


def combine(desk: Desk, ask: Ask, class_id: str, wanted: Combination) -> Receipt:
    """Take the entries of another class of the show into this one, and close the other."""
    asked = fingerprint("combine", class_id, wanted)
    command = CommandRecord(key=ask.caller.key, command=ask.id, fingerprint=asked)
    stream, other = stream_of("class", class_id), stream_of("class", wanted.other)
    for _ in range(ATTEMPTS):
        if stored := desk.log.carried_out(command):
            return Receipt(id=class_id, version=stored.version, events=stored.events, repeated=True)
        here, there = desk.classes.latest(stream), desk.classes.latest(other)
        if ask.expected_version not in {None, here.version}:
            raise WrongExpectedVersion(stream, ask.expected_version or 0, here.version)
        taken, kept = _taken_in(desk, ask, (here.state, there.state), class_id, wanted)
        given, kept_there = _given_over(desk, ask, there.state, class_id, wanted)
        batches = [
            desk.log.batch(
                stream,
                _new(desk, ask, taken),
                expected_version=here.version,
                command=command,
                beside=texts.keeping(kept) if taken else (),
            ),
            desk.log.batch(
                other,
                _new(desk, ask, given),
                expected_version=there.version,
                beside=texts.keeping(kept_there) if given else (),
            ),
        ]
        try:
            desk.log.append_together(batches)
        except NotTogether:
            continue
        return Receipt(id=class_id, version=batches[0].version, events=len(taken), repeated=False)
    raise ConcurrencyGaveUp(stream, ATTEMPTS)


def _taken_in(
    desk: Desk, ask: Ask, states: tuple[ClassState, ClassState], class_id: str, wanted: Combination
) -> Moves:
    here, there = scheduled(states[0], class_id, ask), states[1]
    _refuse_strangers(here, there, class_id, wanted)
    assert here.scheduled is not None  # noqa: S101 - it is scheduled
    eligibility.check_names(
        desk, here.scheduled.show, division=wanted.division, own_division=wanted.own_division
    )
    doubles = {entry.id: _double(here, entry) for entry in _entered(there)}
    to_core, kept = sealed(
        CombineClass(
            other=wanted.other,
            division=wanted.division,
            own_division=wanted.own_division,
            reason=wanted.reason,
            both=tuple(name for name in doubles.values() if name is not None),
        )
    )
    events = decided_on(desk, ask, here, to_core)
    if not events:
        return (), ()
    entries = [
        _as_entered(here, entry, ask, wanted.division)
        for entry in _entered(there)
        if doubles[entry.id] is None
    ]
    after = fold(events, here)  # type: ignore[arg-type]  # a class decides class events
    try:
        return (*events, *many.accept(desk, ask, after, entries)), kept
    except Refusal as refused:  # it is about an entry of the other class, which alone was named
        raise Refusal(
            refused.code, refused.message, field="other", rule=refused.rule, **refused.facts
        ) from None


def _given_over(
    desk: Desk, ask: Ask, there: ClassState, class_id: str, wanted: Combination
) -> Moves:
    to_core, kept = sealed(CombineInto(into=class_id, reason=wanted.reason))
    return decided_on(desk, ask, there, to_core), kept


def _refuse_strangers(
    here: ClassState, there: ClassState, class_id: str, wanted: Combination
) -> None:
    """Refuse a class that is not another one of the same show, judged by the same rules."""
    one, other = here.scheduled, there.scheduled
    if one is None or other is None or other.show != one.show or wanted.other == class_id:
        raise Refusal(
            "class_not_beside",
            f"The show has no other class with the id {wanted.other}.",
            field="other",
            other=wanted.other,
        )
    if other.rulebook.digest != one.rulebook.digest:
        raise Refusal(
            "rule_books_differ",
            f"{one.name} is held to {one.rulebook.id}, {other.name} to {other.rulebook.id}.",
            field="other",
            rule="classes that are combined are held to one rule book",
        )


def _entered(there: ClassState) -> list[Entry]:
    return [entry for entry in there.entries.values() if entry.scratched is None]


def _double(here: ClassState, entry: Entry) -> str | None:
    """The same exhibitor with the same horse, entered in both classes: it rides once."""
    for known in _entered(here):
        if (known.exhibitor, known.horse) == (entry.exhibitor, entry.horse):
            return known.id
    return None


def _as_entered(here: ClassState, entry: Entry, ask: Ask, division: str) -> AcceptEntry:
    free = entry.id not in here.entries
    name = entry.id if free else msgspec.structs.replace(ask, id=f"{ask.id} {entry.id}").made_id()
    return AcceptEntry(
        entry=name,
        back_number=entry.back_number,
        exhibitor=entry.exhibitor,
        horse=entry.horse,
        divisions=tuple(dict.fromkeys((*entry.divisions, division))),
        carried=entry.carried,
        late=entry.late,
    )


def _new(desk: Desk, ask: Ask, events: tuple[Event, ...]) -> list[NewEvent]:
    occurred_at = ask.occurred_at or desk.clock()
    return [
        NewEvent(
            id=new_id(),
            command=ask.id,
            actor=ask.caller.actor,
            occurred_at=occurred_at,
            data=data,
        )
        for data in events
    ]
