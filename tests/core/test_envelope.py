"""The envelope, the names of streams, and refusals."""

from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.envelope import StreamKind, split_stream, stream_of
from events.refusals import Refusal
from events.show.events import RingAdded


@given(st.sampled_from(get_args(StreamKind)), st.text())
def test_a_streams_name_is_split_into_what_it_was_made_of(kind: StreamKind, name: str) -> None:
    assert split_stream(stream_of(kind, name)) == (kind, name)


def test_an_event_is_a_value_that_cannot_change() -> None:
    event = RingAdded(ring="Main")
    with pytest.raises(AttributeError):
        event.ring = "Other"  # type: ignore[misc]
    assert event == RingAdded(ring="Main")
    assert event.SCHEMA == 1


def test_a_refusal_carries_its_code_its_sentence_and_its_facts() -> None:
    refused = Refusal(
        "slot_taken", "That slot is taken.", field="slot", rule="one at a time", slot=3
    )
    assert str(refused) == "That slot is taken."
    assert (refused.code, refused.message) == ("slot_taken", "That slot is taken.")
    assert (refused.field, refused.rule) == ("slot", "one at a time")
    assert refused.facts == {"slot": 3}


def test_a_refusal_may_be_of_the_moment_alone() -> None:
    refused = Refusal("wrong_phase", "Not now.")
    assert (refused.field, refused.rule, refused.facts) == (None, None, {})
