"""Trees for the tests: entries, and the complete nodes that a store would hold of them."""

from collections.abc import Sequence

from hypothesis import strategies as st

from events.proof.hashing import leaf_hash
from events.proof.tree import Frontier, NodeAt, complete_nodes

# Distinct entries, so that a leaf in another place is a different leaf.
entries = st.integers(0, 70).map(lambda n: tuple(b"entry %d" % i for i in range(n)))
some_entries = entries.filter(bool)


def leaves_of(log: Sequence[bytes]) -> list[bytes]:
    return [leaf_hash(entry) for entry in log]


def stored(leaves: Sequence[bytes]) -> dict[NodeAt, bytes]:
    nodes = complete_nodes(Frontier(), leaves)
    return {NodeAt(node.level, node.nth): node.hash for node in nodes}
