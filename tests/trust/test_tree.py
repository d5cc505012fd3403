"""The stored tree over the log is the tree of RFC 9162, however it was grown."""

from concurrent.futures import ThreadPoolExecutor

import pytest
from sqlalchemy import delete, select, text

from events.proof.hashing import EMPTY_ROOT
from events.proof.tree import Frontier, NodeAt, complete_nodes, root_of
from service.store.engine import Database
from service.store.log import Log
from service.store.merkle import (
    NodeMissing,
    follow_log,
    grow_tree,
    read_nodes,
    roots_from_bytes,
    tree_size,
)
from service.store.trust_tables import merkle_node
from service.trust.proofs import root_at
from tests.store.given import several
from tests.trust.given import OTHERS, add_others, leaves


def _stored(database: Database) -> dict[NodeAt, bytes]:
    with database.reading() as connection:
        rows = connection.execute(select(merkle_node)).all()
    return {NodeAt(row.level, row.nth): bytes(row.hash) for row in rows}


def _complete(database: Database) -> dict[NodeAt, bytes]:
    """What must be stored: the complete nodes above the leaves."""
    nodes = complete_nodes(Frontier(), leaves(database))
    return {NodeAt(node.level, node.nth): node.hash for node in nodes if node.level > 0}


def _root(database: Database, size: int) -> bytes:
    with database.reading() as connection:
        return root_at(connection, size)


@pytest.mark.parametrize("batch", [1, 3, 8, 100])
def test_every_complete_node_is_stored_whatever_the_batches(
    database: Database, log: Log, batch: int
) -> None:
    for more in (1, 2, 7, 13):
        add_others(log, more)
        size = follow_log(database, batch=batch)
        assert size == log.head().position == tree_size(database)
        assert _stored(database) == _complete(database)
        assert _root(database, size) == root_of(leaves(database))
    assert [_root(database, size) for size in range(24)] == [
        root_of(leaves(database)[:size]) for size in range(24)
    ]


def test_a_tree_over_nothing_has_the_root_of_nothing(database: Database) -> None:
    assert (grow_tree(database), follow_log(database)) == (0, 0)
    assert _root(database, 0) == EMPTY_ROOT


def test_several_followers_at_once_grow_one_tree(database: Database, log: Log) -> None:
    add_others(log, 200)
    with ThreadPoolExecutor(4) as pool:
        taken = sum(pool.map(lambda _: grow_tree(database, batch=7), range(40)))
    assert taken == tree_size(database) == 200
    assert _stored(database) == _complete(database)


def test_what_is_not_committed_leaves_the_tree_where_it_was(sqlite: Database) -> None:
    add_others(Log(sqlite), 5)
    follow_log(sqlite)
    before = _stored(sqlite)
    with sqlite.writing() as connection:  # a node that is in the way of the next batch
        connection.execute(
            text("INSERT INTO merkle_node VALUES (3, 0, :hash)"), {"hash": bytes(32)}
        )
    add_others(Log(sqlite), 5)
    with pytest.raises(Exception, match="merkle_node"):
        grow_tree(sqlite)
    assert tree_size(sqlite) == 5
    with sqlite.writing() as connection:
        connection.execute(delete(merkle_node).where(merkle_node.c.level == 3))
    assert _stored(sqlite) == before
    assert follow_log(sqlite) == 10
    assert _stored(sqlite) == _complete(sqlite)


def test_a_log_with_a_gap_grows_no_further_than_the_gap(sqlite: Database) -> None:
    add_others(Log(sqlite), 3)
    follow_log(sqlite)
    with sqlite.writing() as connection:
        connection.execute(text("UPDATE log_head SET position = 7"))
    Log(sqlite).append(OTHERS, several(1), expected_version=3)
    with pytest.raises(NodeMissing, match="no node 3 at level 0") as missing:
        follow_log(sqlite)
    assert (missing.value.level, missing.value.nth) == (0, 3)
    assert tree_size(sqlite) == 3


def test_a_node_that_is_not_there_is_named(database: Database, log: Log) -> None:
    add_others(log, 4)
    follow_log(database)
    with database.writing() as connection:
        connection.execute(delete(merkle_node).where(merkle_node.c.level == 2))
    with database.reading() as connection:
        assert read_nodes(connection, []) == {}
        with pytest.raises(NodeMissing, match="no node 0 at level 2"):
            read_nodes(connection, [NodeAt(0, 1), NodeAt(1, 1), NodeAt(2, 0)])
        with pytest.raises(NodeMissing, match="no node 4 at level 0"):
            read_nodes(connection, [NodeAt(0, 4)])


def test_many_nodes_are_read_at_once(database: Database, log: Log) -> None:
    add_others(log, 1000)
    follow_log(database)
    wanted = {NodeAt(level, nth) for level in range(10) for nth in range(1000 >> level)}
    every = complete_nodes(Frontier(), leaves(database))
    with database.reading() as connection:
        found = read_nodes(connection, wanted)
    assert found == {NodeAt(node.level, node.nth): node.hash for node in every}


def test_roots_are_found_again_from_the_bytes_alone(database: Database, log: Log) -> None:
    add_others(log, 20)
    roots = dict(roots_from_bytes(database, [20, 7, 0, 7, 21]))
    assert roots == {size: root_of(leaves(database)[:size]) for size in (0, 7, 20)}
