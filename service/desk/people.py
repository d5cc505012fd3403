"""People and horses at the desk: registered, corrected, and forgotten when they ask to be."""

from events.refusals import Refusal
from service.desk.caller import Ask, Caller, Receipt, check_whole_house
from service.desk.desk import Desk
from service.store import registry
from service.store.registry import AlreadyRegistered, Horse, Person


def register_person(
    desk: Desk, ask: Ask, *, name: str, contact: str | None = None, person_id: str | None = None
) -> Receipt:
    """Register a person; the very same again under the same id is so already."""
    person = Person(id=person_id or ask.made_id(), name=name, contact=contact)
    try:
        registry.add_person(desk.database, person)
    except AlreadyRegistered:
        known = person_with(desk, person.id)
        if known.erased_at is not None:
            raise _erased(person.id) from None
        if known != person:
            raise _taken("person", person.id) from None
        return Receipt(id=person.id, version=0, events=0, repeated=True)
    return Receipt(id=person.id, version=0, events=0, repeated=False)


def person_with(desk: Desk, person_id: str) -> Person:
    """The person with an id; or a refusal."""
    person = registry.find_person(desk.database, person_id)
    if person is None:
        raise Refusal(
            "unknown_person", f"Nobody is registered under {person_id}.", person=person_id
        )
    return person


def correct_person(desk: Desk, person_id: str, *, name: str, contact: str | None) -> Person:
    """Put a person's name and contact right, everywhere and at every moment."""
    person_with(desk, person_id)
    corrected = Person(id=person_id, name=name, contact=contact)
    if not registry.correct_person(desk.database, corrected):
        raise _erased(person_id)
    return corrected


def erase_person(desk: Desk, caller: Caller, person_id: str) -> Person:
    """Forget a person's name, contact and facts for good; the id stays, and reads as withheld."""
    check_whole_house(caller, "erasing a person")
    person_with(desk, person_id)
    registry.erase_person(desk.database, person_id, now=desk.clock())
    return person_with(desk, person_id)


def register_horse(
    desk: Desk,
    ask: Ask,
    *,
    name: str,
    registration: str | None = None,
    horse_id: str | None = None,
) -> Receipt:
    """Register a horse; the very same again under the same id is so already."""
    horse = Horse(id=horse_id or ask.made_id(), name=name, registration=registration)
    try:
        registry.add_horse(desk.database, horse)
    except AlreadyRegistered:
        if horse_with(desk, horse.id) != horse:
            raise _taken("horse", horse.id) from None
        return Receipt(id=horse.id, version=0, events=0, repeated=True)
    return Receipt(id=horse.id, version=0, events=0, repeated=False)


def horse_with(desk: Desk, horse_id: str) -> Horse:
    """The horse with an id; or a refusal."""
    horse = registry.find_horse(desk.database, horse_id)
    if horse is None:
        raise Refusal("unknown_horse", f"No horse is registered under {horse_id}.", horse=horse_id)
    return horse


def correct_horse(desk: Desk, horse_id: str, *, name: str, registration: str | None) -> Horse:
    """Put a horse's name and registration right, everywhere and at every moment."""
    horse_with(desk, horse_id)
    corrected = Horse(id=horse_id, name=name, registration=registration)
    registry.correct_horse(desk.database, corrected)
    return corrected


def _taken(kind: str, name: str) -> Refusal:
    return Refusal(
        f"{kind}_id_taken", f"The id {name} belongs to another {kind}.", field="id", id=name
    )


def _erased(name: str) -> Refusal:
    return Refusal("person_erased", f"The person {name} was erased.", person=name)
