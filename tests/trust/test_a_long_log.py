"""Proofs out of a stored log of a hundred thousand events."""

from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from random import Random

import pytest

from events.proof.refused import ConsistencyRefused, InclusionRefused
from events.proof.tree import Frontier, root_of
from events.proof.verify import verify_consistency, verify_inclusion
from service.store.checkpoints import SignedCheckpoint
from service.store.engine import Database
from service.store.log import Log
from service.trust.proofs import Inclusion
from service.trust.trust import Trust
from tests.store.given import several
from tests.trust.given import OTHERS, leaves

EVENTS = 100_000
BATCH = 1_000


def _fill(url: str) -> None:
    log = Log(Database(url))
    for version in range(0, EVENTS, BATCH):
        log.append(OTHERS, several(BATCH), expected_version=version)
    log.database.close()


def _verify(signed: SignedCheckpoint, proof: Inclusion, leaf: bytes, index: int) -> None:
    verify_inclusion(leaf, proof.path, index=index, size=signed.size, root=signed.root)


def test_a_thousand_positions_are_proved_and_none_of_their_neighbours(
    embedded: Trust, sqlite: Database
) -> None:
    url = f"sqlite:///{sqlite.engine.url.database}"
    with ProcessPoolExecutor(1, get_context("spawn")) as elsewhere:  # where no coverage is measured
        elsewhere.submit(_fill, url).result()
    signed = embedded.checkpoint_now()
    all_leaves = leaves(sqlite)
    assert (signed.size, signed.root) == (EVENTS, root_of(all_leaves))

    random = Random(9162)
    for position in random.sample(range(1, EVENTS + 1), 1_000):
        proof = embedded.inclusion(position)
        index = position - 1
        assert proof.leaf == all_leaves[index]
        _verify(signed, proof, proof.leaf, index)
        for neighbour in {max(index - 1, 0), min(index + 1, EVENTS - 1)} - {index}:
            for leaf, at in ((all_leaves[neighbour], index), (proof.leaf, neighbour)):
                with pytest.raises(InclusionRefused):
                    _verify(signed, proof, leaf, at)

    before = Frontier()
    for first in sorted(random.sample(range(1, EVENTS), 20)):
        before = before.append(all_leaves[before.size : first])
        grown = embedded.consistency(first)
        roots = {"first_root": before.root(), "second_root": signed.root}
        verify_consistency(grown.path, first=first, second=EVENTS, **roots)
        with pytest.raises(ConsistencyRefused):
            verify_consistency(grown.path, first=first + 1, second=EVENTS, **roots)
