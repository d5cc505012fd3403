"""Where late entries go in a working order, and how a class too large is split."""

from collections.abc import Sequence
from itertools import pairwise
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


def sections(order: Sequence[str], at_most: int) -> tuple[tuple[str, ...], ...]:
    """The working order in the fewest sections of ``at_most`` entries, as equal as they can be.

    A class of no more than that stays whole; earlier sections are the larger ones. Classes over 25
    are split (American Mule Association, rule 101); at 45, into 44 at most (AMHA 2016 Rule Book,
    page 169, which also asks for splits as equal as possible). ``ValueError`` when ``at_most`` is
    less than 1.
    """
    if at_most < 1:
        raise ValueError(f"a section holds at least 1 entry, not {at_most}")
    count = max(1, -(-len(order) // at_most))
    size, larger = divmod(len(order), count)
    ends = [size * number + min(number, larger) for number in range(count + 1)]
    return tuple(tuple(order[start:end]) for start, end in pairwise(ends))
