"""The Merkle tree over the log: grown in order behind it, and read node by node.

The leaves are the hashes that stand beside the events; what is stored here are the complete nodes
above them, which never change again.
"""

from collections.abc import Iterable, Iterator, Mapping

import msgspec
from sqlalchemy import Connection, bindparam, insert, select, update

from events.proof.hashing import leaf_hash
from events.proof.tree import Frontier, Node, NodeAt, frontier_nodes, grow, read_frontier
from service.store.engine import Database
from service.store.errors import StoreError
from service.store.tables import event, log_head
from service.store.trust_tables import merkle_node, tree_head

_LACKING = select(log_head.c.position - select(tree_head.c.size).scalar_subquery())
_BYTES = (
    select(event.c.position, event.c.bytes)
    .where(event.c.position > bindparam("after"))
    .order_by(event.c.position)
    .limit(bindparam("limit"))
)
BATCH = 10_000

# A proof reads some forty nodes by their names. Handed over as one array each, they are looked up
# one by one in the index by one statement; in a list of pairs, SQLite would look at every node.
_NODES_SQLITE = """
SELECT level, nth, hash FROM json_each(:wanted) AS wanted CROSS JOIN merkle_node
    ON level = json_extract(wanted.value, '$[0]') AND nth = json_extract(wanted.value, '$[1]')"""
_NODES_POSTGRESQL = """
SELECT level, nth, hash FROM unnest(%(levels)s::int[], %(nths)s::bigint[]) AS wanted (level, nth)
    JOIN merkle_node USING (level, nth)"""
_LEAVES_SQLITE = """
SELECT position, leaf_hash FROM json_each(:positions) AS wanted CROSS JOIN event
    ON position = wanted.value"""
_LEAVES_POSTGRESQL = """
SELECT position, leaf_hash FROM unnest(%(positions)s::bigint[]) AS wanted (position)
    JOIN event USING (position)"""


class NodeMissing(StoreError):
    """A node that the tree must have is not stored: the log or the tree was tampered with."""

    def __init__(self, level: int, nth: int) -> None:
        super().__init__(f"the tree has no node {nth} at level {level}, which was complete")
        self.level = level
        self.nth = nth


def tree_size(database: Database) -> int:
    """How many events the tree stands over."""
    with database.reading() as connection:
        size: int = connection.execute(select(tree_head.c.size)).scalar_one()
        return size


def lock_tree(connection: Connection) -> int:
    """The same, and nobody else grows the tree or signs until the transaction ends."""
    size: int = connection.execute(select(tree_head.c.size).with_for_update()).scalar_one()
    return size


def follow_log(database: Database, *, batch: int = BATCH) -> int:
    """Grow the tree to the end of the log as it is now; its size then.

    Each batch is one transaction with its progress, so it may be cut off anywhere, and several may
    do it at once.
    """
    while grow_tree(database, batch=batch):
        pass
    return tree_size(database)


def grow_tree(database: Database, *, batch: int = BATCH) -> int:
    """Take up to ``batch`` more events into the tree; how many there were.

    ``NodeMissing`` where the log has a gap, or the tree.
    """
    if _is_up_to_date(database):
        return 0
    with database.writing() as connection:
        size = lock_tree(connection)
        leaves = _leaves_after(connection, size, batch)
        if leaves:
            _take_in(connection, size, leaves)
        return len(leaves)


def roots_from_bytes(database: Database, sizes: Iterable[int]) -> Iterator[tuple[int, bytes]]:
    """The root over the first events for each of ``sizes`` that the log has reached, rising.

    Hashed anew out of the events' own bytes: neither the tree nor the hashes beside the events are
    believed.
    """
    frontier = Frontier()
    for size in sorted(set(sizes)):
        while frontier.size < size:
            values = {"after": frontier.size, "limit": min(BATCH, size - frontier.size)}
            with database.reading() as connection:
                rows = database.rows(connection, _BYTES, values)
            if not rows:
                return
            frontier = frontier.append(leaf_hash(raw) for _, raw in rows)
        yield size, frontier.root()


def read_nodes(connection: Connection, wanted: Iterable[NodeAt]) -> Mapping[NodeAt, bytes]:
    """The hashes of complete nodes, leaves included; ``NodeMissing`` where there is none."""
    names = set(wanted)
    found = dict(_leaves(connection, {node for node in names if node.level == 0}))
    found |= dict(_above(connection, {node for node in names if node.level > 0}))
    for node in sorted(names - found.keys()):
        raise NodeMissing(*node)
    return found


def _is_up_to_date(database: Database) -> bool:
    """Looked up without a lock: the log only grows, so at worst the next call finds what is new."""
    with database.reading() as connection:
        lacking: int = connection.execute(_LACKING).scalar_one()
    return lacking == 0


def _leaves_after(connection: Connection, size: int, limit: int) -> list[bytes]:
    rows = connection.execute(
        select(event.c.position, event.c.leaf_hash)
        .where(event.c.position > size)
        .order_by(event.c.position)
        .limit(limit)
    )
    leaves = []
    for expected, (position, leaf) in enumerate(rows, start=size + 1):
        if position != expected:
            raise NodeMissing(0, expected - 1)
        leaves.append(bytes(leaf))
    return leaves


def _take_in(connection: Connection, size: int, leaves: list[bytes]) -> None:
    nodes = read_nodes(connection, frontier_nodes(size))
    growth = grow(read_frontier(nodes.__getitem__, size), leaves)
    rows = [_row(node) for node in growth.nodes if node.level > 0]
    if rows:
        connection.execute(insert(merkle_node), rows)
    connection.execute(update(tree_head).values(size=growth.frontier.size))


def _row(node: Node) -> dict[str, object]:
    return {"level": node.level, "nth": node.nth, "hash": node.hash}


def _leaves(connection: Connection, names: set[NodeAt]) -> Iterator[tuple[NodeAt, bytes]]:
    if not names:
        return
    positions = [node.nth + 1 for node in sorted(names)]
    if connection.dialect.name == "sqlite":
        rows = connection.exec_driver_sql(_LEAVES_SQLITE, {"positions": _json(positions)})
    else:
        rows = connection.exec_driver_sql(_LEAVES_POSTGRESQL, {"positions": positions})
    yield from ((NodeAt(0, position - 1), bytes(leaf)) for position, leaf in rows)


def _above(connection: Connection, names: set[NodeAt]) -> Iterator[tuple[NodeAt, bytes]]:
    if not names:
        return
    wanted = sorted(names)
    if connection.dialect.name == "sqlite":
        rows = connection.exec_driver_sql(_NODES_SQLITE, {"wanted": _json(wanted)})
    else:
        levels, nths = [node.level for node in wanted], [node.nth for node in wanted]
        rows = connection.exec_driver_sql(_NODES_POSTGRESQL, {"levels": levels, "nths": nths})
    yield from ((NodeAt(level, nth), bytes(value)) for level, nth, value in rows)


def _json(value: object) -> str:
    return msgspec.json.encode(value).decode()
