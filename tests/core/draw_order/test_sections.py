"""Sections hold the whole working order once, as equal as they can be."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.scoring.draw_order import sections


@given(st.integers(0, 130), st.integers(1, 50))
def test_sections_keep_the_order_are_within_the_limit_and_as_equal_as_can_be(
    entries: int, at_most: int
) -> None:
    order = [str(number) for number in range(entries)]
    parts = sections(order, at_most)
    sizes = [len(part) for part in parts]
    assert [entry for part in parts for entry in part] == order
    assert max(sizes) <= at_most
    assert max(sizes) - min(sizes) <= 1
    assert sizes == sorted(sizes, reverse=True)
    assert len(parts) == 1 or (len(parts) - 1) * at_most < entries


def test_a_section_of_nobody_is_refused() -> None:
    with pytest.raises(ValueError, match="at least 1 entry, not 0"):
        sections(["1"], 0)
