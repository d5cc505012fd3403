"""The tree grown from its frontier against the recursion of RFC 9162."""

from hashlib import sha256

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.proof.tree import (
    Frontier,
    NodeAt,
    complete_nodes,
    frontier_nodes,
    grow,
    read_frontier,
    root_of,
)
from tests.core.proof import rfc9162
from tests.core.proof.trees import entries, leaves_of, stored


@given(st.lists(st.binary(max_size=40), max_size=70))
def test_the_root_is_the_merkle_tree_hash_of_the_entries(log: list[bytes]) -> None:
    assert root_of(leaves_of(log)) == rfc9162.mth(log)


@given(entries, st.data())
def test_a_tree_grown_in_two_steps_is_the_tree_grown_in_one(
    log: tuple[bytes, ...], data: st.DataObject
) -> None:
    leaves = leaves_of(log)
    cut = data.draw(st.integers(0, len(log)))
    begun = grow(Frontier(), leaves[:cut])
    ended = grow(begun.frontier, leaves[cut:])
    assert ended.frontier == Frontier().append(leaves)
    assert begun.nodes + ended.nodes == complete_nodes(Frontier(), leaves)


@given(entries)
def test_the_complete_nodes_are_all_full_subtrees_and_no_others(log: tuple[bytes, ...]) -> None:
    expected = {
        NodeAt(level, nth): rfc9162.mth(log[nth << level : (nth + 1) << level])
        for level in range(8)
        for nth in range(len(log) >> level)
    }
    assert stored(leaves_of(log)) == expected
    assert len(complete_nodes(Frontier(), leaves_of(log))) == len(expected)


@given(entries)
def test_a_node_follows_those_below_it(log: tuple[bytes, ...]) -> None:
    seen: set[tuple[int, int]] = set()
    for level, nth, _ in complete_nodes(Frontier(), leaves_of(log)):
        assert level == 0 or {(level - 1, 2 * nth), (level - 1, 2 * nth + 1)} <= seen
        seen.add((level, nth))


@given(entries, st.data())
def test_every_earlier_tree_can_be_read_out_of_stored_nodes(
    log: tuple[bytes, ...], data: st.DataObject
) -> None:
    nodes = stored(leaves_of(log))
    size = data.draw(st.integers(0, len(log)))
    frontier = read_frontier(nodes.__getitem__, size)
    assert frontier == Frontier().append(leaves_of(log[:size]))
    assert frontier.root() == rfc9162.mth(log[:size])


def test_appending_nothing_changes_nothing() -> None:
    frontier = Frontier().append(leaves_of([b"a", b"b", b"c"]))
    assert frontier.append(()) == frontier
    assert complete_nodes(frontier, ()) == ()


def test_the_tree_without_leaves_has_the_root_of_no_bytes() -> None:
    assert Frontier().root() == sha256(b"").digest()
    assert frontier_nodes(0) == ()


@pytest.mark.parametrize(
    ("size", "nodes"),
    [
        (1, [(0, 0)]),
        (2, [(1, 0)]),
        (3, [(1, 0), (0, 2)]),
        (7, [(2, 0), (1, 2), (0, 6)]),
        (8, [(3, 0)]),
        (1 << 40, [(40, 0)]),
        ((1 << 40) + 1, [(40, 0), (0, 1 << 40)]),
    ],
)
def test_a_frontier_has_one_node_for_each_bit_of_the_size(
    size: int, nodes: list[tuple[int, int]]
) -> None:
    assert list(frontier_nodes(size)) == nodes


@pytest.mark.parametrize("leaf", [b"", b"an event's bytes", bytes(31), bytes(33)])
def test_a_leaf_that_is_not_a_hash_is_refused_and_named(leaf: bytes) -> None:
    with pytest.raises(ValueError, match=r"^leaf 1 is \d+ bytes, a leaf hash has 32$"):
        Frontier().append([bytes(32), leaf])
