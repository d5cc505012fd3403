"""People and horses: what may be corrected and erased, and so stays out of the log."""

from collections.abc import Iterable, Mapping
from datetime import datetime

import msgspec
from sqlalchemy import Connection, Table, insert, select, update
from sqlalchemy.exc import IntegrityError

from service.store.engine import Database
from service.store.errors import StoreError, violated
from service.store.facts import forget_rider_facts
from service.store.standing_tables import registry_turn
from service.store.tables import horse, person

WITHHELD = "withheld"
"""How an erased person reads, wherever the person is named."""


class Person(msgspec.Struct, frozen=True, kw_only=True):
    """Somebody at a show. An erased person has no name and no contact any more."""

    id: str
    name: str | None
    contact: str | None = None
    erased_at: datetime | None = None

    @property
    def shown_name(self) -> str:
        """The name to show."""
        return WITHHELD if self.name is None else self.name


class Horse(msgspec.Struct, frozen=True, kw_only=True):
    """A horse; ``registration`` is its number with a breed's registry."""

    id: str
    name: str
    registration: str | None = None


class AlreadyRegistered(StoreError):
    """The id belongs to somebody already."""

    def __init__(self, identifier: str) -> None:
        super().__init__(f"{identifier} is registered already")
        self.id = identifier


def add_person(database: Database, added: Person) -> None:
    """Register a person under a new id; ``AlreadyRegistered`` otherwise."""
    _add(database, person, added)


def add_horse(database: Database, added: Horse) -> None:
    """Register a horse under a new id; ``AlreadyRegistered`` otherwise."""
    _add(database, horse, added)


def find_person(database: Database, identifier: str) -> Person | None:
    """The person with an id, erased or not."""
    return people(database, [identifier]).get(identifier)


def find_horse(database: Database, identifier: str) -> Horse | None:
    """The horse with an id."""
    return horses(database, [identifier]).get(identifier)


def people(database: Database, ids: Iterable[str]) -> Mapping[str, Person]:
    """The people with these ids, by id; unknown ones are left out."""
    with database.reading() as connection:
        rows = connection.execute(select(person).where(person.c.id.in_(set(ids))))
        return {row.id: Person(**row._asdict()) for row in rows}


def horses(database: Database, ids: Iterable[str]) -> Mapping[str, Horse]:
    """The horses with these ids, by id; unknown ones are left out."""
    with database.reading() as connection:
        rows = connection.execute(select(horse).where(horse.c.id.in_(set(ids))))
        return {row.id: Horse(**row._asdict()) for row in rows}


def correct_person(database: Database, corrected: Person) -> bool:
    """Replace a person's name and contact; whether there is such a person, not erased."""
    with database.writing() as connection:
        changed = connection.execute(
            update(person)
            .where(person.c.id == corrected.id, person.c.erased_at.is_(None))
            .values(name=corrected.name, contact=corrected.contact)
        )
        return _turned(connection, changed.rowcount)


def correct_horse(database: Database, corrected: Horse) -> bool:
    """Replace a horse's name and registration; whether there is such a horse."""
    with database.writing() as connection:
        changed = connection.execute(
            update(horse)
            .where(horse.c.id == corrected.id)
            .values(name=corrected.name, registration=corrected.registration)
        )
        return _turned(connection, changed.rowcount)


def erase_person(database: Database, identifier: str, *, now: datetime) -> bool:
    """Forget a person's name, contact and facts for good; whether there was anything to forget.

    The id stays, so that every result and every proof stays as it is.
    """
    with database.writing() as connection:
        changed = connection.execute(
            update(person)
            .where(person.c.id == identifier, person.c.erased_at.is_(None))
            .values(name=None, contact=None, erased_at=now)
        )
        forget_rider_facts(connection, identifier)
        erased = _turned(connection, changed.rowcount)
    database.scrub()
    return erased


def _turned(connection: Connection, changed: int) -> bool:
    """Count that a name reads otherwise now, for whoever keeps what was shown."""
    if changed:
        count = registry_turn.c.number + 1
        connection.execute(update(registry_turn).values(number=count))
    return changed == 1


def _add(database: Database, table: Table, added: Person | Horse) -> None:
    try:
        with database.writing() as connection:
            connection.execute(insert(table), msgspec.structs.asdict(added))
    except IntegrityError as error:
        if violated(error) in {f"pk_{table.name}", "UNIQUE constraint failed"}:
            raise AlreadyRegistered(added.id) from error
        raise
