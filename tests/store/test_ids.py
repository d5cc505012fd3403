"""Ids are UUIDs of version 7 (RFC 9562, section 5.7), in the order of making."""

import time
import uuid

from service.store.ids import new_id


def test_an_id_is_a_uuid_of_version_7() -> None:
    made = uuid.UUID(new_id())
    assert (made.version, made.variant) == (7, uuid.RFC_4122)


def test_an_id_begins_with_the_time_of_its_making() -> None:
    before = time.time_ns() // 1_000_000
    milliseconds = uuid.UUID(new_id()).int >> 80
    assert before <= milliseconds <= time.time_ns() // 1_000_000


def test_ids_differ() -> None:
    assert len({new_id() for _ in range(1000)}) == 1000
