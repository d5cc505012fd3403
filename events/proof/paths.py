"""Making inclusion and consistency proofs out of complete nodes (RFC 9162, 2.1.3.1 and 2.1.4.1).

Each proof reads a handful of nodes for every level of the tree. ``inclusion_nodes`` and
``consistency_nodes`` name them beforehand, so that a store can fetch them in one query.
"""

from events.proof.refused import ConsistencyRefused, InclusionRefused
from events.proof.tree import NodeAt, ReadNode, joined, parts_of

_Subtree = tuple[int, int]
"""The index of its first leaf, and the index after its last."""


def inclusion_proof(read: ReadNode, index: int, size: int) -> tuple[bytes, ...]:
    """PATH of the leaf at ``index`` in the tree of ``size`` leaves, from the leaf upwards.

    Raises ``InclusionRefused`` for an index that the tree does not have.
    """
    return tuple(_hash_of(read, subtree) for subtree in _siblings(index, size))


def inclusion_nodes(index: int, size: int) -> tuple[NodeAt, ...]:
    """Which nodes ``inclusion_proof`` reads."""
    return tuple(part for subtree in _siblings(index, size) for part in parts_of(*subtree))


def consistency_proof(read: ReadNode, first: int, second: int) -> tuple[bytes, ...]:
    """PROOF that the tree of ``first`` leaves is the beginning of the one of ``second``.

    Empty for equal sizes and for the tree without leaves, which every tree begins with. Raises
    ``ConsistencyRefused`` when ``first`` is larger or negative.
    """
    return tuple(_hash_of(read, subtree) for subtree in _changed(first, second))


def consistency_nodes(first: int, second: int) -> tuple[NodeAt, ...]:
    """Which nodes ``consistency_proof`` reads."""
    return tuple(part for subtree in _changed(first, second) for part in parts_of(*subtree))


def _hash_of(read: ReadNode, subtree: _Subtree) -> bytes:
    return joined([read(part) for part in parts_of(*subtree)])


def _siblings(index: int, size: int) -> tuple[_Subtree, ...]:
    if not 0 <= index < size:
        raise InclusionRefused(
            "index_beyond_size",
            f"a tree of {size} leaves has no leaf at index {index}",
            index=index,
            size=size,
        )
    passed: list[_Subtree] = []
    subtree = (0, size)
    while subtree[1] - subtree[0] > 1:
        sibling, subtree = _step_down(subtree, index)
        passed.append(sibling)
    return tuple(reversed(passed))


def _changed(first: int, second: int) -> tuple[_Subtree, ...]:
    if not 0 <= first <= second:
        raise ConsistencyRefused(
            "sizes_reversed",
            f"a tree of {first} leaves is not the beginning of one of {second}",
            first=first,
            second=second,
        )
    if first in {0, second}:
        return ()
    passed: list[_Subtree] = []
    subtree = (0, second)
    while subtree[1] != first:
        sibling, subtree = _step_down(subtree, first - 1)
        passed.append(sibling)
    if subtree[0] > 0:  # else it is the whole smaller tree, whose root the verifier has
        passed.append(subtree)
    return tuple(reversed(passed))


def _step_down(subtree: _Subtree, index: int) -> tuple[_Subtree, _Subtree]:
    """The half that is passed by on the way to the leaf at ``index``, and the half it is in."""
    start, end = subtree
    split = start + (1 << ((end - start - 1).bit_length() - 1))  # largest power of two below n
    left, right = (start, split), (split, end)
    return (right, left) if index < split else (left, right)
