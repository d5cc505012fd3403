"""Proofs made out of stored nodes against the recursion of RFC 9162."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.proof.paths import (
    consistency_nodes,
    consistency_proof,
    inclusion_nodes,
    inclusion_proof,
)
from events.proof.refused import ConsistencyRefused, InclusionRefused
from events.proof.tree import NodeAt
from tests.core.proof import rfc9162
from tests.core.proof.trees import leaves_of, some_entries, stored

NO_NODES: dict[NodeAt, bytes] = {}


@given(some_entries, st.data())
def test_an_inclusion_proof_is_the_path_of_the_rfc_at_every_size(
    log: tuple[bytes, ...], data: st.DataObject
) -> None:
    nodes = stored(leaves_of(log))
    size = data.draw(st.integers(1, len(log)))
    index = data.draw(st.integers(0, size - 1))
    assert inclusion_proof(nodes.__getitem__, index, size) == rfc9162.path(index, log[:size])


@given(some_entries, st.data())
def test_a_consistency_proof_is_the_proof_of_the_rfc_at_every_pair_of_sizes(
    log: tuple[bytes, ...], data: st.DataObject
) -> None:
    nodes = stored(leaves_of(log))
    second = data.draw(st.integers(1, len(log)))
    first = data.draw(st.integers(1, second))
    expected = rfc9162.proof(first, log[:second])
    assert consistency_proof(nodes.__getitem__, first, second) == expected


@given(st.integers(0, 10**7), st.data())
def test_a_proof_reads_exactly_the_nodes_named_beforehand(second: int, data: st.DataObject) -> None:
    first = data.draw(st.integers(0, second))
    read: list[NodeAt] = []

    def reader(at: NodeAt) -> bytes:
        read.append(at)
        return bytes(32)

    consistency_proof(reader, first, second)
    assert sorted(read) == sorted(consistency_nodes(first, second))
    if first < second:
        read.clear()
        inclusion_proof(reader, first, second)
        assert sorted(read) == sorted(inclusion_nodes(first, second))
    assert len(read) <= 2 * 24
    assert all((at.nth + 1) << at.level <= second for at in read)


def test_a_tree_of_one_leaf_needs_no_path() -> None:
    assert inclusion_proof(NO_NODES.__getitem__, 0, 1) == ()


@pytest.mark.parametrize(("first", "second"), [(0, 0), (0, 1), (0, 9), (1, 1), (6, 6), (8, 8)])
def test_equal_sizes_and_the_empty_tree_need_no_proof(first: int, second: int) -> None:
    assert consistency_proof(NO_NODES.__getitem__, first, second) == ()


@pytest.mark.parametrize(("index", "size"), [(0, 0), (1, 1), (8, 8), (9, 8), (-1, 8), (0, -1)])
def test_an_index_that_the_tree_does_not_have_is_refused(index: int, size: int) -> None:
    with pytest.raises(InclusionRefused, match=f"{size} leaves .* index {index}") as refused:
        inclusion_proof(NO_NODES.__getitem__, index, size)
    assert refused.value.code == "index_beyond_size"
    assert refused.value.facts == {"index": index, "size": size}


@pytest.mark.parametrize(("first", "second"), [(1, 0), (9, 8), (-1, 8), (-2, -1)])
def test_a_tree_that_would_shrink_is_refused(first: int, second: int) -> None:
    with pytest.raises(ConsistencyRefused) as refused:
        consistency_proof(NO_NODES.__getitem__, first, second)
    assert refused.value.code == "sizes_reversed"
    assert refused.value.facts == {"first": first, "second": second}
