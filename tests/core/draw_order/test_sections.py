"""Sections hold everybody once, as equal as they can be, late entries in the smallest."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.scoring.draw_order import (
    LatePlace,
    in_equal_parts,
    in_sections,
    with_late_in_sections,
)

PLACES: tuple[LatePlace, ...] = ("first_in_reverse", "bottom")


@given(st.integers(0, 130), st.integers(1, 50))
def test_sections_are_within_the_limit_as_few_and_as_equal_as_can_be(
    entries: int, at_most: int
) -> None:
    sizes = in_sections(entries, at_most)
    assert sum(sizes) == entries
    assert max(sizes) <= at_most
    assert max(sizes) - min(sizes) <= 1
    assert list(sizes) == sorted(sizes, reverse=True)
    assert len(sizes) == 1 or (len(sizes) - 1) * at_most < entries


def test_a_section_of_nobody_is_refused() -> None:
    with pytest.raises(ValueError, match="at least 1 entry, not 0"):
        in_sections(1, 0)


@given(
    entries=st.integers(1, 40),
    late=st.integers(0, 15),
    parts=st.integers(1, 5),
    place=st.sampled_from(PLACES),
)
def test_late_entries_leave_sections_as_equal_as_they_were(
    entries: int, late: int, parts: int, place: LatePlace
) -> None:
    numbers = iter(range(entries))
    drawn = [
        [f"drawn {next(numbers)}" for _ in range(size)] for size in in_equal_parts(entries, parts)
    ]
    received = [f"late {number}" for number in range(late)]
    found = with_late_in_sections(drawn, received, place, open_to_late=[True] * parts)
    sizes = [len(part) for part in found]
    assert sorted(name for part in found for name in part) == sorted(
        [*received, *(name for part in drawn for name in part)]
    )
    assert max(sizes) - min(sizes) <= 1
    for part, before in zip(found, drawn, strict=True):
        came = [int(name.split()[1]) for name in part if name.startswith("late")]
        assert [name for name in part if name.startswith("drawn")] == before
        if place == "bottom":
            assert list(part[: len(before)]) == before
            assert came == sorted(came)
        else:
            assert list(part[len(came) :]) == before
            assert came == sorted(came, reverse=True)


def test_a_section_that_is_closed_takes_no_late_entry() -> None:
    found = with_late_in_sections(
        [("a",), ("b", "c")], ("x", "y"), "bottom", open_to_late=(False, True)
    )
    assert found == (("a",), ("b", "c", "x", "y"))
