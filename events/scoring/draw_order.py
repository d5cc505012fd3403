"""Where late entries go in a working order, and how a class too large is split."""

from collections.abc import Sequence
from typing import Literal

LatePlace = Literal["first_in_reverse", "bottom"]


def with_late_entries(
    order: Sequence[str], received: Sequence[str], place: LatePlace
) -> tuple[str, ...]:
    """The working order with late entries, which come in the order they were received.

    ``first_in_reverse``: before everybody, the last received first (American Mule Association, rule
    101). ``bottom``: behind everybody, the first received first (cashcansbarrelracing.com, rules).
    """
    if place == "bottom":
        return (*order, *received)
    return (*reversed(received), *order)


def in_sections(entries: int, at_most: int) -> tuple[int, ...]:
    """The sizes of the fewest sections of ``at_most`` entries, as equal as they can be.

    A class of no more than that stays whole; earlier sections are the larger ones. Classes over 25
    are split (American Mule Association, rule 101); at 45, into 44 at most (AMHA 2016 Rule Book,
    page 169, which also asks for splits as equal as possible). ``ValueError`` when ``at_most`` is
    less than 1.
    """
    if at_most < 1:
        raise ValueError(f"a section holds at least 1 entry, not {at_most}")
    return in_equal_parts(entries, max(1, -(-entries // at_most)))


def in_equal_parts(entries: int, parts: int) -> tuple[int, ...]:
    """The sizes of so many parts, the larger ones first and none larger than another by two."""
    size, larger = divmod(entries, parts)
    return tuple(size + (number < larger) for number in range(parts))


def with_late_in_sections(
    sections: Sequence[Sequence[str]],
    received: Sequence[str],
    place: LatePlace,
    *,
    open_to_late: Sequence[bool],
) -> tuple[tuple[str, ...], ...]:
    """Each section's working order with late entries, each of which goes to the smallest section.

    They are taken in the order they were received; of sections that are equally small the first
    one takes the next. Inside a section they stand where ``place`` says. At least one section is
    ``open_to_late``: a section that has begun can be closed to them.
    """
    taken: list[list[str]] = [[] for _ in sections]
    for name in received:
        smallest = min(
            (number for number, is_open in enumerate(open_to_late) if is_open),
            key=lambda number: len(sections[number]) + len(taken[number]),
        )
        taken[smallest].append(name)
    return tuple(
        with_late_entries(order, late, place) for order, late in zip(sections, taken, strict=True)
    )
