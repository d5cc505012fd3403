"""What entries are checked by, beside the names of people and horses and read far less often.

Only who takes entries and who settles protests about them comes here; a person's facts go with the
person.
"""

from collections.abc import Iterable, Mapping
from typing import TypeVar

import msgspec
from sqlalchemy import Connection, Table, delete, insert, select, update

from events.show.facts import HorseFacts, RiderFacts
from service.store.engine import Database
from service.store.tables import horse, horse_facts, person, person_facts

F = TypeVar("F", RiderFacts, HorseFacts)


def rider_facts(database: Database, ids: Iterable[str]) -> Mapping[str, RiderFacts]:
    """What is known of these people, by id; whoever nothing is known of is left out."""
    return _facts(database, person_facts, ids, RiderFacts)


def horse_facts_of(database: Database, ids: Iterable[str]) -> Mapping[str, HorseFacts]:
    """What is known of these horses, by id; whichever nothing is known of is left out."""
    return _facts(database, horse_facts, ids, HorseFacts)


def keep_rider_facts(database: Database, person_id: str, facts: RiderFacts) -> bool:
    """Replace what is known of a person; whether there is such a person, not erased."""
    with database.writing() as connection:
        # The row is locked, so that nothing is known again of somebody erased meanwhile.
        known = select(person.c.id).where(person.c.id == person_id, person.c.erased_at.is_(None))
        if connection.execute(known.with_for_update()).first() is None:
            return False
        _keep(connection, person_facts, person_id, facts)
    database.scrub()
    return True


def keep_horse_facts(database: Database, horse_id: str, facts: HorseFacts) -> bool:
    """Replace what is known of a horse; whether there is such a horse."""
    with database.writing() as connection:
        known = select(horse.c.id).where(horse.c.id == horse_id)
        if connection.execute(known.with_for_update()).first() is None:
            return False
        _keep(connection, horse_facts, horse_id, facts)
    return True


def forget_rider_facts(connection: Connection, person_id: str) -> None:
    """Forget what is known of a person, in the transaction that erases the rest."""
    connection.execute(delete(person_facts).where(person_facts.c.id == person_id))


def _facts(database: Database, table: Table, ids: Iterable[str], kind: type[F]) -> dict[str, F]:
    with database.reading() as connection:
        rows = connection.execute(select(table).where(table.c.id.in_(set(ids))))
        return {row.id: msgspec.json.decode(row.facts, type=kind) for row in rows}


def _keep(connection: Connection, table: Table, name: str, facts: RiderFacts | HorseFacts) -> None:
    written = msgspec.json.encode(facts)
    changed = connection.execute(update(table).where(table.c.id == name).values(facts=written))
    if not changed.rowcount:
        connection.execute(insert(table).values(id=name, facts=written))
