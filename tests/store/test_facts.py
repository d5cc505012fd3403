"""What entries are checked by is kept beside the log, and goes when the person does."""

import threading
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from sqlalchemy import func, select

from events.show.facts import HorseFacts, LevelHeld, Membership, RiderFacts
from service.store.engine import Database
from service.store.facts import (
    horse_facts_of,
    keep_horse_facts,
    keep_rider_facts,
    rider_facts,
)
from service.store.registry import Horse, Person, add_horse, add_person, erase_person
from service.store.standing_tables import registry_turn
from service.store.tables import person_facts

NOW = datetime(2026, 6, 6, 12, tzinfo=UTC)
ADA = RiderFacts(
    born=date(2008, 2, 29),
    levels=(LevelHeld(level="novice", since=date(2025, 1, 1), discipline="trail"),),
    memberships=(Membership(body="Hill Country", number="77", until=date(2026, 12, 31)),),
)
DUSK = HorseFacts(foaled=date(2021, 10, 3), foaled_in="southern", sex="mare")


@pytest.fixture(autouse=True)
def _registered(database: Database) -> None:
    for name in ("p1", "p2"):
        add_person(database, Person(id=name, name="Ada Quill"))
    add_horse(database, Horse(id="h1", name="Dusk"))


def test_what_is_known_is_found_as_it_was_kept(database: Database) -> None:
    assert keep_rider_facts(database, "p1", ADA)
    assert keep_horse_facts(database, "h1", DUSK)
    assert rider_facts(database, ["p1", "p2", "p9"]) == {"p1": ADA}
    assert horse_facts_of(database, ["h1", "p1"]) == {"h1": DUSK}
    assert rider_facts(database, []) == {}


def test_what_is_known_now_takes_the_place_of_what_was(database: Database) -> None:
    keep_rider_facts(database, "p1", ADA)
    keep_horse_facts(database, "h1", DUSK)
    assert keep_rider_facts(database, "p1", RiderFacts(born=date(2008, 3, 1)))
    assert keep_horse_facts(database, "h1", HorseFacts())
    assert rider_facts(database, ["p1"]) == {"p1": RiderFacts(born=date(2008, 3, 1))}
    assert horse_facts_of(database, ["h1"]) == {"h1": HorseFacts()}


def test_nothing_is_known_of_who_is_not_registered(database: Database) -> None:
    assert not keep_rider_facts(database, "p9", ADA)
    assert not keep_horse_facts(database, "h9", DUSK)
    assert rider_facts(database, ["p9"]) == {}
    assert horse_facts_of(database, ["h9"]) == {}


def test_facts_go_with_the_person_and_never_come_back(database: Database) -> None:
    keep_rider_facts(database, "p1", ADA)
    keep_rider_facts(database, "p2", ADA)
    erase_person(database, "p1", now=NOW)
    assert not keep_rider_facts(database, "p1", ADA)
    assert rider_facts(database, ["p1", "p2"]) == {"p2": ADA}


def test_names_read_the_same_whatever_facts_are_kept(database: Database) -> None:
    with database.reading() as connection:
        before = connection.scalar(select(registry_turn.c.number))
    keep_rider_facts(database, "p1", ADA)
    with database.reading() as connection:
        assert connection.scalar(select(registry_turn.c.number)) == before


def test_two_who_keep_facts_of_one_person_at_once_leave_one_row(database: Database) -> None:
    ready = threading.Barrier(4)

    def keep() -> None:
        ready.wait()
        keep_rider_facts(database, "p1", ADA)

    threads = [threading.Thread(target=keep) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with database.reading() as connection:
        assert connection.scalar(select(func.count()).select_from(person_facts)) == 1


def test_no_file_of_sqlite_holds_a_date_of_birth_that_was_erased(
    sqlite: Database, tmp_path: Path
) -> None:
    add_person(sqlite, Person(id="p3", name="Ida Falk"))
    keep_rider_facts(sqlite, "p3", RiderFacts(born=date(1987, 11, 23)))
    keep_rider_facts(sqlite, "p3", RiderFacts(born=date(1987, 11, 24)))
    assert written_in(tmp_path, b"1987-11-24")
    erase_person(sqlite, "p3", now=NOW)
    assert not written_in(tmp_path, b"1987-11-2")


def written_in(folder: Path, words: bytes) -> bool:
    return any(words in path.read_bytes() for path in folder.glob("log.db*"))
