"""The bytes of an event: the same for equal events, canonical by RFC 8785, readable for ever."""

import json
from collections.abc import Callable
from datetime import UTC, datetime, timedelta, timezone
from typing import Any

import msgspec
import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from events.catalogue import ALL_EVENTS, CODEC
from events.codec import Codec, NotCanonical, UnreadableEvent, label, time_text
from events.envelope import Actor, Event, NewEvent
from events.judged_class.events import JudgeSeated, MarkGiven, PatternSet
from tests.strategies import GREATEST, moments, new_events, streams, utc_moments

NOON = datetime(2026, 6, 6, 12, tzinfo=UTC)
SCRIBE = Actor(key="key-1", role="scribe", seat="A")
MARK = MarkGiven(seat="A", entry="1", maneuver=2, mark=-1)


def new_event(data: Event = MARK, **changes: object) -> NewEvent:
    values: dict[str, Any] = {
        "id": "event-1", "command": "command-1", "actor": SCRIBE, "occurred_at": NOON, "data": data,
    }  # fmt: skip
    return NewEvent(**values | changes)


def raw_bytes(new: NewEvent | None = None) -> bytes:
    return CODEC.encode(new or new_event(), stream="class-1", version=3).at(NOON)


def changed(**changes: object) -> bytes:
    return json.dumps(json.loads(raw_bytes()) | changes).encode()


@given(new_events(), streams, st.integers(1, 10_000), utc_moments)
def test_what_is_encoded_is_decoded_as_it_was(
    new: NewEvent, stream: str, version: int, recorded_at: datetime
) -> None:
    raw = CODEC.encode(new, stream=stream, version=version).at(recorded_at)
    read = CODEC.decode(raw, 5)
    assert (read.position, read.stream, read.version) == (5, stream, version)
    assert read.recorded_at == recorded_at
    assert (read.id, read.command, read.actor) == (new.id, new.command, new.actor)
    assert (read.occurred_at, read.data) == (new.occurred_at, new.data)
    assert CODEC.decode_data(raw) == new.data


@given(new_events(), streams, utc_moments)
def test_the_bytes_are_those_of_rfc_8785(new: NewEvent, stream: str, recorded_at: datetime) -> None:
    # The oracle is the rfc8785 library, an implementation of RFC 8785 that is not ours.
    raw = CODEC.encode(new, stream=stream, version=3).at(recorded_at)
    assert rfc8785.dumps(json.loads(raw)) == raw


@given(new_events(), streams, utc_moments)
def test_the_two_halves_make_the_sorted_whole(
    new: NewEvent, stream: str, recorded_at: datetime
) -> None:
    whole = {
        "version": 3,
        "stream": stream,
        "schema": new.data.SCHEMA,
        "recorded_at": time_text(recorded_at),
        "occurred_at": time_text(new.occurred_at),
        "id": new.id,
        "data": new.data,
        "command": new.command,
        "actor": new.actor,
    }
    sorted_whole = msgspec.json.Encoder(order="sorted").encode(whole)
    assert CODEC.encode(new, stream=stream, version=3).at(recorded_at) == sorted_whole


@given(new_events())
def test_equal_events_have_equal_bytes(new: NewEvent) -> None:
    copied = msgspec.convert(msgspec.to_builtins(new.data), type(new.data))
    elsewhere = new.occurred_at.astimezone(timezone(timedelta(hours=5, minutes=45)))
    again = msgspec.structs.replace(new, data=copied, occurred_at=elsewhere)
    assert raw_bytes(again) == raw_bytes(new)


def test_a_default_is_left_out_however_it_was_come_by() -> None:
    spelt = b"judge".decode()
    assert spelt is not JudgeSeated.__struct_defaults__[0]
    raw = raw_bytes(new_event(JudgeSeated(seat="A", judge="p1", kind=spelt)))  # type: ignore[arg-type]
    assert json.loads(raw)["data"] == {"judge": "p1", "seat": "A", "type": "class.judge_seated"}


@given(moments)
def test_a_time_is_written_in_utc_with_six_decimals(moment: datetime) -> None:
    text = time_text(moment)
    assert len(text) == len("2026-06-06T12:00:00.000000Z")
    assert text.endswith("Z")
    assert datetime.fromisoformat(text) == moment


@given(moments, moments)
def test_times_sort_as_their_texts_do(one: datetime, other: datetime) -> None:
    assert (one < other) == (time_text(one) < time_text(other))


def test_a_time_without_a_zone_is_refused() -> None:
    naive = NOON.replace(tzinfo=None)
    with pytest.raises(NotCanonical, match=r"occurred_at: .* has no time zone"):
        raw_bytes(new_event(occurred_at=naive))


class Odd(Event, frozen=True, kw_only=True, tag="odd.thing"):
    """An event as none may be: it lets everything in."""

    thing: Any


ODD = Codec(Odd)


@pytest.mark.parametrize(
    ("thing", "complaint"),
    [
        (1.5, r"data\.thing: 1\.5 is a float, which no event may hold"),
        (2**53, r"data\.thing: 9007199254740992 is beyond 2\*\*53 - 1"),
        (-(2**53), r"data\.thing: -9007199254740992 is beyond"),
        ("a\0b", r"data\.thing: text cannot hold a NUL character"),
        ([1, [2.5]], r"data\.thing\[1\]\[0\]: 2\.5 is a float"),
        ({"größe": 1}, r"data\.thing: the key 'größe' is not ASCII text"),
        ({"a": {"b": 0.5}}, r"data\.thing\.a\.b: 0\.5 is a float"),
        ("\ud83d", r"data: Odd cannot be read back: .*surrogates not allowed"),
        (object(), r"data: Odd cannot be read back: .*unsupported"),
    ],
)
def test_what_has_no_canonical_bytes_is_refused_by_name(thing: object, complaint: str) -> None:
    with pytest.raises(NotCanonical, match=complaint):
        ODD.encode(new_event(Odd(thing=thing)), stream="class-1", version=1)


@pytest.mark.parametrize("number", [GREATEST, -GREATEST, True, None, "é😀\u2028\x7f", [], {}])
def test_the_profile_reaches_to_its_own_edges(number: object) -> None:
    encoded = ODD.encode(new_event(Odd(thing=number)), stream="class-1", version=1).at(NOON)
    assert rfc8785.dumps(json.loads(encoded)) == encoded


@pytest.mark.parametrize("field", ["id", "command"])
@pytest.mark.parametrize("text", ["a\0", "\udc00"])
def test_an_envelope_holds_only_text_that_every_reader_keeps(field: str, text: str) -> None:
    with pytest.raises(NotCanonical, match=f"^{field}: text "):
        raw_bytes(msgspec.structs.replace(new_event(), **{field: text}))


def test_an_actor_who_could_not_be_read_back_is_refused() -> None:
    stranger = Actor(key="key-1", role="owner")  # type: ignore[arg-type]
    with pytest.raises(
        NotCanonical, match=r"^actor: Actor cannot be read back: Invalid enum value"
    ):
        raw_bytes(new_event(actor=stranger))


def test_an_event_that_could_not_be_read_back_is_refused() -> None:
    wrong = MarkGiven(seat="A", entry="1", maneuver=2, mark=0.5)  # type: ignore[arg-type]
    with pytest.raises(NotCanonical, match=r"^data: MarkGiven cannot be read back: Expected `int`"):
        raw_bytes(new_event(wrong))


def test_lists_become_tuples_on_the_way_in() -> None:
    listed = PatternSet(maneuvers=["Walk", "Jog"])  # type: ignore[arg-type]
    assert CODEC.decode(raw_bytes(new_event(listed)), 1).data == PatternSet(
        maneuvers=("Walk", "Jog")
    )


def test_a_label_is_read_without_knowing_the_event() -> None:
    assert label(changed(data={"type": "show.from_tomorrow", "x": 1}, schema=4)) == (
        "show.from_tomorrow",
        4,
    )


@pytest.mark.parametrize("read", [lambda raw: CODEC.decode(raw, 1), CODEC.decode_data, label])
@pytest.mark.parametrize(
    "raw",
    [
        *(b"", b"{", b"\xff", b"[]", b'{"data": 1}', b'{"\xff": 1}'),
        pytest.param(b'{"schema":2,"data":{"type":"t"},"x":' + b"[" * 100_000, id="nested"),
        pytest.param(b'{"schema":2,"data":{"maneuvers":' + b"[" * 100_000, id="nested deeper"),
    ],
)
def test_bytes_that_are_no_event_are_refused(read: Callable[[bytes], object], raw: bytes) -> None:
    with pytest.raises(UnreadableEvent):
        read(raw)


def test_an_envelope_with_a_field_too_many_is_refused() -> None:
    with pytest.raises(UnreadableEvent, match="unknown field `weather`"):
        CODEC.decode(changed(weather="fine"), 1)


def test_every_tag_names_one_event() -> None:
    assert sorted(CODEC.types) == sorted({str(each.__struct_config__.tag) for each in ALL_EVENTS})
    assert len(CODEC.types) == len(ALL_EVENTS)
