"""How far several streams have come, asked at once."""

from service.store import registry
from service.store.log import Log
from service.store.registry import Person
from service.store.tips import Tips, tips
from tests.store.given import CLASS, NOON, OTHER, several


def test_each_stream_is_at_its_last_version_and_one_without_events_at_nought(log: Log) -> None:
    log.append(CLASS, several(3), expected_version=0)
    log.append(OTHER, several(1), expected_version=0)
    found = tips(log.database, [CLASS, OTHER, 'class-"odd" {name}'])
    assert found == Tips(versions={CLASS: 3, OTHER: 1, 'class-"odd" {name}': 0}, names=found.names)


def test_a_name_that_is_corrected_or_erased_counts_and_one_that_is_registered_does_not(
    log: Log,
) -> None:
    database = log.database
    first = tips(database, [CLASS]).names
    registry.add_person(database, Person(id="p-1", name="Karin Lind"))
    assert tips(database, [CLASS]).names == first
    registry.correct_person(database, Person(id="p-1", name="Karin Lindh"))
    registry.erase_person(database, "p-1", now=NOON)
    assert tips(database, [CLASS]).names == first + 2
