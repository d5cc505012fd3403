"""The Merkle tree over the log (RFC 9162, section 2.1), grown leaf by leaf from its frontier.

The leaf at index i is the event at position i + 1. A node is complete once every leaf below it
exists; it never changes again, so complete nodes are what a store keeps. Node (level, nth) stands
over ``1 << level`` leaves, those from ``nth << level`` on.
"""

from collections.abc import Callable, Iterable, Sequence
from functools import reduce
from typing import NamedTuple

import msgspec

from events.proof.hashing import EMPTY_ROOT, HASH_BYTES, node_hash


class NodeAt(NamedTuple):
    """Where a complete node stands: level 0 holds the leaves, ``nth`` counts from 0."""

    level: int
    nth: int


class Node(NamedTuple):
    """A complete node as a store keeps it."""

    level: int
    nth: int
    hash: bytes


ReadNode = Callable[[NodeAt], bytes]
"""Answers the hash of a complete node; a dictionary's ``__getitem__`` will do."""


class Frontier(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """All of a tree that its growth depends on.

    ``hashes`` are those of its largest complete subtrees from left to right, one for each bit that
    is set in ``size``, the number of leaves.
    """

    size: int = 0
    hashes: tuple[bytes, ...] = ()

    def root(self) -> bytes:
        """The root hash of the tree, 32 bytes."""
        return joined(self.hashes)

    def append(self, leaves: Iterable[bytes]) -> "Frontier":
        """The frontier once ``leaves``, given as leaf hashes, stand to the right of it."""
        return grow(self, leaves).frontier


class Growth(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A grown tree's frontier, and the nodes that became complete, each after those below it."""

    frontier: Frontier
    nodes: tuple[Node, ...]


def grow(before: Frontier, leaves: Iterable[bytes]) -> Growth:
    """The tree after ``leaves``, given as leaf hashes, and the nodes that are new to a store.

    Raises ``ValueError`` for anything that has not the length of a hash.
    """
    nodes: list[Node] = []
    stack = list(before.hashes)
    size = before.size
    for leaf in leaves:
        if len(leaf) != HASH_BYTES:
            raise ValueError(f"leaf {size} is {len(leaf)} bytes, a leaf hash has {HASH_BYTES}")
        level, nth, value = 0, size, leaf
        nodes.append(Node(level, nth, value))
        while nth & 1:  # a right half: its parent is complete too
            level, nth, value = level + 1, nth >> 1, node_hash(stack.pop(), value)
            nodes.append(Node(level, nth, value))
        stack.append(value)
        size += 1
    return Growth(frontier=Frontier(size=size, hashes=tuple(stack)), nodes=tuple(nodes))


def complete_nodes(before: Frontier, leaves: Iterable[bytes]) -> tuple[Node, ...]:
    """The nodes that become complete when ``leaves``, given as leaf hashes, are appended."""
    return grow(before, leaves).nodes


def root_of(leaves: Iterable[bytes]) -> bytes:
    """The root hash of the tree over ``leaves``, given as leaf hashes."""
    return Frontier().append(leaves).root()


def frontier_nodes(size: int) -> tuple[NodeAt, ...]:
    """Which complete nodes the frontier of a tree of ``size`` leaves is read from."""
    return parts_of(0, size)


def read_frontier(read: ReadNode, size: int) -> Frontier:
    """The frontier of the tree as it was at ``size`` leaves, out of stored nodes."""
    return Frontier(size=size, hashes=tuple(read(part) for part in frontier_nodes(size)))


def parts_of(start: int, end: int) -> tuple[NodeAt, ...]:
    """The largest complete nodes over the leaves ``start`` up to ``end``, left to right.

    Holds for every subtree of a Merkle tree: their ``start`` is a multiple of a power of two that
    is not smaller than their number of leaves.
    """
    parts: list[NodeAt] = []
    while start < end:
        level = (end - start).bit_length() - 1
        parts.append(NodeAt(level, start >> level))
        start += 1 << level
    return tuple(parts)


def joined(hashes: Sequence[bytes]) -> bytes:
    """The hash over neighbouring complete subtrees, given left to right from the largest on."""
    if not hashes:
        return EMPTY_ROOT
    return reduce(lambda right, left: node_hash(left, right), reversed(hashes))
