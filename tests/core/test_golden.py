"""What lies in somebody's log can still be read, and is still written the same."""

from pathlib import Path

import pytest

from events.catalogue import ALL_EVENTS, CODEC
from events.codec import label
from events.envelope import Event
from tests.core.golden import (
    FOLDER,
    NOON,
    RECORDED_AT,
    SCRIBE,
    later_fields,
    path_of,
    paths_of,
    recorded_bytes,
)

GOLDEN = sorted(FOLDER.glob("*.json"))
SCHEMAS = [(kind, schema) for kind in ALL_EVENTS for schema in range(1, kind.SCHEMA + 1)]


@pytest.mark.parametrize(
    ("kind", "schema"), SCHEMAS, ids=[f"{kind.__name__}-v{schema}" for kind, schema in SCHEMAS]
)
def test_every_event_has_a_golden_file_for_each_schema(kind: type[Event], schema: int) -> None:
    tag = kind.__struct_config__.tag
    assert label(path_of(kind, schema).read_bytes()) == (tag, schema)


def test_every_golden_file_belongs_to_an_event_of_the_catalogue() -> None:
    assert set(GOLDEN) == {path for each in SCHEMAS for path in paths_of(*each)}


@pytest.mark.parametrize("kind", ALL_EVENTS, ids=lambda kind: kind.__name__)
def test_every_field_of_an_event_stands_in_a_golden_file(kind: type[Event]) -> None:
    assert later_fields(kind) == ()


@pytest.mark.parametrize("path", GOLDEN, ids=lambda path: path.stem)
def test_every_golden_file_reads_as_todays_event(path: Path) -> None:
    raw = path.read_bytes()
    read = CODEC.decode(raw, 9)
    assert path.name.startswith(f"{read.data.__struct_config__.tag}.v")
    assert (read.position, read.version, read.stream) == (9, 7, "class-1")
    assert (read.actor, read.occurred_at, read.recorded_at) == (SCRIBE, NOON, RECORDED_AT)
    assert CODEC.decode_data(raw) == read.data


@pytest.mark.parametrize("kind", ALL_EVENTS, ids=lambda kind: kind.__name__)
def test_todays_events_are_written_byte_for_byte_as_before(kind: type[Event]) -> None:
    for path in paths_of(kind, kind.SCHEMA):
        golden = path.read_bytes()
        assert recorded_bytes(CODEC.decode(golden, 1).data) == golden
