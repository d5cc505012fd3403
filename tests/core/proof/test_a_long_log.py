"""A log of 100,000 events: proofs for 1,000 random positions hold, and none for a neighbour."""

from collections.abc import Callable, Iterator
from functools import partial
from random import Random

import pytest

from events.proof.hashing import leaf_hash
from events.proof.paths import consistency_proof, inclusion_proof
from events.proof.refused import ConsistencyRefused, InclusionRefused
from events.proof.tree import Frontier, NodeAt, grow, read_frontier
from events.proof.verify import verify_consistency, verify_inclusion

SIZE = 100_000
POSITIONS = Random(9162).sample(range(SIZE), 1_000)


class Log:
    """Grown in batches, like a follower does."""

    def __init__(self) -> None:
        self.leaves = [leaf_hash(b'{"n":%d}' % n) for n in range(SIZE + 1)]
        self.nodes: dict[NodeAt, bytes] = {}
        frontier = Frontier()
        for start in range(0, SIZE + 1, 777):
            growth = grow(frontier, self.leaves[start : start + 777])
            self.nodes |= {NodeAt(node.level, node.nth): node.hash for node in growth.nodes}
            frontier = growth.frontier
        self.roots = {size: self.root(size) for size in (SIZE - 1, SIZE, SIZE + 1)}

    def root(self, size: int) -> bytes:
        return read_frontier(self.nodes.__getitem__, size).root()

    def path(self, index: int) -> tuple[bytes, ...]:
        return inclusion_proof(self.nodes.__getitem__, index, SIZE)


@pytest.fixture(scope="module")
def log() -> Log:
    return Log()


def test_the_proof_of_every_sampled_position_holds(log: Log) -> None:
    for index in POSITIONS:
        path = log.path(index)
        assert len(path) <= 17
        verify_inclusion(log.leaves[index], path, index=index, size=SIZE, root=log.roots[SIZE])


def _claims_of_neighbours(log: Log, index: int) -> Iterator[partial[None]]:
    """The proof of ``index`` put forward for other places, other leaves and other trees."""
    path, root = log.path(index), log.roots[SIZE]
    claim = partial(verify_inclusion, log.leaves[index], path)
    for other in (n for n in (index - 1, index + 1) if 0 <= n < SIZE):
        yield partial(claim, index=other, size=SIZE, root=root)
        yield partial(verify_inclusion, log.leaves[other], path, index=index, size=SIZE, root=root)
        yield partial(verify_inclusion, log.leaves[other], path, index=other, size=SIZE, root=root)
    for size in {SIZE - 1, SIZE + 1} - {index}:
        yield partial(claim, index=index, size=size, root=log.roots[size])
    yield partial(claim, index=index, size=SIZE * 2, root=root)
    yield partial(claim, index=index, size=max(SIZE // 2, index + 1) - 1, root=root)


def _is_refused(claim: Callable[[], None]) -> bool:
    try:
        claim()
    except InclusionRefused:
        return True
    return False


def test_no_proof_holds_for_a_neighbour(log: Log) -> None:
    claims = 0
    for index in POSITIONS:
        for claim in _claims_of_neighbours(log, index):
            assert _is_refused(claim), claim
            claims += 1
    assert claims > 9_000


def test_no_sampled_bit_of_a_proof_can_change(log: Log) -> None:
    random = Random(6962)
    for index in POSITIONS:
        path = list(log.path(index))
        step, bit = random.randrange(len(path)), random.randrange(256)
        path[step] = (int.from_bytes(path[step]) ^ 1 << bit).to_bytes(32)
        with pytest.raises(InclusionRefused) as refused:
            verify_inclusion(log.leaves[index], path, index=index, size=SIZE, root=log.roots[SIZE])
        assert refused.value.code == "root_differs"


def test_every_sampled_size_is_shown_to_be_the_beginning_and_no_neighbour_is(log: Log) -> None:
    read = log.nodes.__getitem__
    for first in (position or 1 for position in POSITIONS[:300]):
        proof = consistency_proof(read, first, SIZE)
        verify = partial(verify_consistency, proof, second=SIZE, second_root=log.roots[SIZE])
        verify(first=first, first_root=log.root(first))
        for neighbour in (first - 1, first + 1):
            with pytest.raises(ConsistencyRefused):
                verify(first=neighbour, first_root=log.root(neighbour))
            with pytest.raises(ConsistencyRefused):
                verify(first=first, first_root=log.root(neighbour))
