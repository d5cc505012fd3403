"""People and horses can be registered, corrected and, people, erased."""

from datetime import UTC, datetime

import pytest
from sqlalchemy import update
from sqlalchemy.exc import IntegrityError

from service.store.engine import Database
from service.store.registry import (
    AlreadyRegistered,
    Horse,
    Person,
    add_horse,
    add_person,
    correct_horse,
    correct_person,
    erase_person,
    find_horse,
    find_person,
    horses,
    people,
)
from service.store.tables import person

NOW = datetime(2026, 6, 6, 12, tzinfo=UTC)
ADA = Person(id="p1", name="Ada Quill", contact="ada@stable.example")
BEN = Person(id="p2", name="Ben Larch")
DUSK = Horse(id="h1", name="Dusk", registration="0042")


@pytest.fixture(autouse=True)
def _registered(database: Database) -> None:
    add_person(database, ADA)
    add_person(database, BEN)
    add_horse(database, DUSK)


def test_whoever_is_registered_is_found(database: Database) -> None:
    assert find_person(database, "p1") == ADA
    assert people(database, ["p1", "p2", "p2", "p3"]) == {"p1": ADA, "p2": BEN}
    assert find_horse(database, "h1") == DUSK
    assert horses(database, ["h1", "h2"]) == {"h1": DUSK}
    assert find_person(database, "p3") is None
    assert find_horse(database, "p1") is None
    assert people(database, []) == {}


def test_an_id_is_registered_once(database: Database) -> None:
    with pytest.raises(AlreadyRegistered) as refused:
        add_person(database, Person(id="p1", name="Somebody Else"))
    assert refused.value.id == "p1"
    with pytest.raises(AlreadyRegistered):
        add_horse(database, Horse(id="h1", name="Dawn"))
    assert (find_person(database, "p1"), find_horse(database, "h1")) == (ADA, DUSK)


def test_names_are_corrected(database: Database) -> None:
    ada = Person(id="p1", name="Ada Quill-Marsh")
    dusk = Horse(id="h1", name="Dusk Again")
    assert correct_person(database, ada)
    assert correct_horse(database, dusk)
    assert (find_person(database, "p1"), find_horse(database, "h1")) == (ada, dusk)
    assert find_person(database, "p2") == BEN


def test_whoever_is_unknown_cannot_be_corrected(database: Database) -> None:
    assert not correct_person(database, Person(id="p3", name="Nobody"))
    assert not correct_horse(database, Horse(id="h3", name="Nothing"))


def test_an_erased_person_reads_as_withheld(database: Database) -> None:
    assert ADA.shown_name == "Ada Quill"
    assert erase_person(database, "p1", now=NOW)
    erased = find_person(database, "p1")
    assert erased == Person(id="p1", name=None, contact=None, erased_at=NOW)
    assert erased is not None
    assert erased.shown_name == "withheld"
    assert find_person(database, "p2") == BEN


def test_an_erased_person_stays_erased(database: Database) -> None:
    erase_person(database, "p1", now=NOW)
    assert not correct_person(database, ADA)
    assert not erase_person(database, "p1", now=NOW)
    with pytest.raises(AlreadyRegistered):
        add_person(database, ADA)


@pytest.mark.parametrize(
    ("values", "constraint"),
    [
        ({"name": None}, "named_or_erased"),
        ({"erased_at": NOW}, "named_or_erased"),
        ({"erased_at": NOW, "name": None, "contact": "ben@stable.example"}, "erased_whole"),
    ],
)
def test_nobody_is_half_erased(
    database: Database, values: dict[str, object], constraint: str
) -> None:
    with pytest.raises(IntegrityError, match=constraint), database.writing() as connection:
        connection.execute(update(person).where(person.c.id == "p2").values(values))
