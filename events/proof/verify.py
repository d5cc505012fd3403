"""Checking proofs by the algorithms of RFC 9162, sections 2.1.3.2 and 2.1.4.2.

Size and root must come out of one signed checkpoint. A path alone does not fix the size: below one
and the same root, trees of neighbouring sizes may lead to a leaf along paths of the same shape.
"""

from collections.abc import Sequence

from events.proof.hashing import EMPTY_ROOT, HASH_BYTES, node_hash
from events.proof.refused import ConsistencyRefused, InclusionRefused

_SENTENCES = {
    "index_beyond_size": "the tree has no such leaf",
    "sizes_reversed": "a tree does not shrink",
    "hash_length": f"every hash must have {HASH_BYTES} bytes",
    "path_too_long": "the path has more hashes than the tree has levels to climb",
    "path_too_short": "the path ends below the root",
    "root_differs": "the path leads to another root",
    "first_root_differs": "the smaller tree has another root",
    "second_root_differs": "the larger tree has another root",
}


def verify_inclusion(
    leaf: bytes, path: Sequence[bytes], *, index: int, size: int, root: bytes
) -> None:
    """The leaf with the hash ``leaf`` stands at ``index``, from 0, in the tree of ``size`` leaves.

    Raises ``InclusionRefused`` with the code ``index_beyond_size``, ``hash_length``,
    ``path_too_long``, ``path_too_short`` or ``root_differs``.
    """
    if not 0 <= index < size:
        raise _not_included("index_beyond_size", index, size)
    if not _are_hashes(leaf, root, *path):
        raise _not_included("hash_length", index, size)
    lefts = _lefts(index, size - 1)
    if len(path) != len(lefts):
        raise _not_included(_length_code(path, lefts), index, size)
    climbed = leaf
    for step, left in zip(path, lefts, strict=True):
        climbed = node_hash(step, climbed) if left else node_hash(climbed, step)
    if climbed != root:
        raise _not_included("root_differs", index, size)


def verify_consistency(
    path: Sequence[bytes], *, first: int, second: int, first_root: bytes, second_root: bytes
) -> None:
    """The tree of ``first`` leaves is the beginning of the tree of ``second`` leaves.

    Equal sizes need equal roots and an empty path; every tree begins with the one without leaves,
    also by an empty path. Raises ``ConsistencyRefused`` with the code ``sizes_reversed``,
    ``hash_length``, ``path_too_long``, ``path_too_short``, ``first_root_differs`` or
    ``second_root_differs``.
    """
    code = _contradiction(
        path, first=first, second=second, first_root=first_root, second_root=second_root
    )
    if code is not None:
        sentence = f"from {first} to {second} leaves: {_SENTENCES[code]}"
        raise ConsistencyRefused(code, sentence, first=first, second=second)


def _contradiction(
    path: Sequence[bytes], *, first: int, second: int, first_root: bytes, second_root: bytes
) -> str | None:
    if not 0 <= first <= second:
        return "sizes_reversed"
    if not _are_hashes(first_root, second_root, *path):
        return "hash_length"
    if first in {0, second}:  # the RFC leaves these two to the reader
        if path:
            return "path_too_long"
        if first == 0 and first_root != EMPTY_ROOT:
            return "first_root_differs"
        return _unless(first < second or first_root == second_root, "second_root_differs")
    power_of_two = first & (first - 1) == 0
    steps = (first_root, *path) if power_of_two else tuple(path)
    fn, sn = first - 1, second - 1
    while fn & 1:
        fn, sn = fn >> 1, sn >> 1
    lefts = _lefts(fn, sn)
    if len(steps) != len(lefts) + 1:
        return _length_code(steps[1:], lefts)
    return _climb_both(steps, lefts, first_root, second_root)


def _climb_both(
    steps: Sequence[bytes], lefts: Sequence[bool], first_root: bytes, second_root: bytes
) -> str | None:
    first = second = steps[0]
    for step, left in zip(steps[1:], lefts, strict=True):
        if left:
            first = node_hash(step, first)
        second = node_hash(step, second) if left else node_hash(second, step)
    if first != first_root:
        return "first_root_differs"
    return _unless(second == second_root, "second_root_differs")


def _lefts(fn: int, sn: int) -> tuple[bool, ...]:
    """For each step of the climb from ``fn`` whether the path's hash stands to the left.

    ``fn`` and ``sn`` are the RFC's: the index and the last index, both at the level reached. A node
    without a right sibling rises unchanged, so it skips the levels where it stands last and even.
    """
    lefts: list[bool] = []
    while sn:
        left = fn & 1 == 1 or fn == sn
        lefts.append(left)
        while left and fn & 1 == 0:  # here fn is sn, which is not nought, so a bit is set
            fn, sn = fn >> 1, sn >> 1
        fn, sn = fn >> 1, sn >> 1
    return tuple(lefts)


def _length_code(path: Sequence[bytes], lefts: Sequence[bool]) -> str:
    return "path_too_long" if len(path) > len(lefts) else "path_too_short"


def _unless(holds: bool, code: str) -> str | None:  # noqa: FBT001 - private, read in one glance
    return None if holds else code


def _are_hashes(*values: bytes) -> bool:
    return all(len(value) == HASH_BYTES for value in values)


def _not_included(code: str, index: int, size: int) -> InclusionRefused:
    sentence = f"leaf {index} of {size}: {_SENTENCES[code]}"
    return InclusionRefused(code, sentence, index=index, size=size)
