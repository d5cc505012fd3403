"""Events of older schemas are brought to today's, one pure step at a time."""

import json
from typing import Any

import pytest

from events.codec import Codec, UnknownEventType, UnknownSchema, UnreadableEvent, Upcaster
from events.envelope import Event

RAW = {
    "actor": {"key": "key-1", "role": "scribe", "seat": "A"},
    "command": "command-1",
    "id": "event-1",
    "occurred_at": "2026-06-06T12:00:00.000000Z",
    "recorded_at": "2026-06-06T12:00:01.000000Z",
    "stream": "class-1",
    "version": 3,
}


class GateOpened(Event, frozen=True, kw_only=True, tag="gate.opened"):
    """Schema 1 held ``no``; schema 2 ``gate``, as text; schema 3 names who opened it."""

    SCHEMA = 3
    gate: str
    by: str


class GateShut(Event, frozen=True, kw_only=True, tag="gate.shut"):
    """Of the same shape in both its schemas, but counted from 0 in the first."""

    SCHEMA = 2
    gate: int


def number_to_name(data: dict[str, Any]) -> dict[str, Any]:
    return {"type": data["type"], "gate": f"gate {data['no']}"}


def name_the_opener(data: dict[str, Any]) -> dict[str, Any]:
    return {**data, "by": "not recorded"}


def count_from_one(data: dict[str, Any]) -> dict[str, Any]:
    return {**data, "gate": data["gate"] + 1}


UPCASTERS: dict[tuple[str, int], Upcaster] = {
    ("gate.opened", 1): number_to_name,
    ("gate.opened", 2): name_the_opener,
    ("gate.shut", 1): count_from_one,
}
CODEC = Codec(GateOpened | GateShut, UPCASTERS)


def stored(schema: int, **data: object) -> bytes:
    return json.dumps(RAW | {"schema": schema, "data": data}).encode()


@pytest.mark.parametrize(
    ("raw", "event"),
    [
        (stored(1, type="gate.opened", no=4), GateOpened(gate="gate 4", by="not recorded")),
        (stored(2, type="gate.opened", gate="in"), GateOpened(gate="in", by="not recorded")),
        (stored(3, type="gate.opened", gate="in", by="p1"), GateOpened(gate="in", by="p1")),
        (stored(1, type="gate.shut", gate=0), GateShut(gate=1)),
        (stored(2, type="gate.shut", gate=0), GateShut(gate=0)),
    ],
)
def test_each_older_schema_reads_as_todays_event(raw: bytes, event: Event) -> None:
    assert CODEC.decode_data(raw) == event
    read = CODEC.decode(raw, 8)
    assert (read.data, read.position, read.version, read.id) == (event, 8, 3, "event-1")


@pytest.mark.parametrize("schema", [0, 4])
def test_a_schema_that_no_step_leads_from_is_refused(schema: int) -> None:
    raw = stored(schema, type="gate.opened", gate="in", by="p1")
    with pytest.raises(UnknownSchema, match=f"gate.opened has schema {schema}") as refused:
        CODEC.decode(raw, 1)
    assert (refused.value.schema, refused.value.known) == (schema, 3)
    with pytest.raises(UnknownSchema):
        CODEC.decode_data(raw)


@pytest.mark.parametrize("data", [{"type": "gate.painted"}, {"type": 3}, {"gate": "in"}])
def test_an_unknown_event_is_refused_by_the_name_it_gives(data: dict[str, object]) -> None:
    with pytest.raises(UnknownEventType) as refused:
        CODEC.decode(stored(1, **data), 1)
    assert refused.value.tag == data.get("type")


def test_a_step_whose_result_does_not_fit_is_told_by_the_field() -> None:
    with pytest.raises(UnreadableEvent, match=r"Expected `int`, got `str` - at `\$\.gate`"):
        Codec(GateShut, {("gate.shut", 1): lambda data: {**data, "gate": "one"}}).decode_data(
            stored(1, type="gate.shut", gate=0)
        )


def test_todays_schema_passes_through_no_step() -> None:
    def never(data: dict[str, Any]) -> dict[str, Any]:
        raise AssertionError(data)

    codec = Codec(GateShut, {("gate.shut", 1): never})
    assert codec.decode_data(stored(2, type="gate.shut", gate=7)) == GateShut(gate=7)
