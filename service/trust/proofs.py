"""Proofs read from the stored tree: that an event is in the log, that the log only grew."""

import msgspec
from sqlalchemy import Connection

from events.proof.paths import (
    consistency_nodes,
    consistency_proof,
    inclusion_nodes,
    inclusion_proof,
)
from events.proof.tree import NodeAt, frontier_nodes, read_frontier
from events.refusals import Refusal
from service.store.engine import Database
from service.store.merkle import read_nodes, tree_size


class Inclusion(msgspec.Struct, frozen=True, kw_only=True):
    """That the event at a position, by its leaf hash, is among the log's first ``size`` events."""

    position: int
    size: int
    leaf: bytes
    path: tuple[bytes, ...]


class Consistency(msgspec.Struct, frozen=True, kw_only=True):
    """That the log of ``second`` events begins with the log of ``first`` events."""

    first: int
    second: int
    path: tuple[bytes, ...]


def inclusion(database: Database, position: int, size: int) -> Inclusion:
    """The proof for a position in the tree over ``size`` events.

    Raises ``Refusal`` with the code ``unknown_size`` or ``position_beyond_size``.
    """
    _require_size(database, size, "size")
    if not 1 <= position <= size:
        raise Refusal(
            "position_beyond_size",
            f"Among the log's first {size} events none is at position {position}.",
            field="position",
            position=position,
            size=size,
        )
    index = position - 1
    with database.reading() as connection:
        nodes = read_nodes(connection, {NodeAt(0, index), *inclusion_nodes(index, size)})
    path = inclusion_proof(nodes.__getitem__, index, size)
    return Inclusion(position=position, size=size, leaf=nodes[NodeAt(0, index)], path=path)


def consistency(database: Database, first: int, second: int) -> Consistency:
    """The proof from one size to a larger one.

    Raises ``Refusal`` with the code ``unknown_size`` or ``sizes_reversed``.
    """
    _require_size(database, first, "first")
    _require_size(database, second, "second")
    if first > second:
        raise Refusal(
            "sizes_reversed",
            f"A log of {first} events is no beginning of one of {second}.",
            field="first",
            first=first,
            second=second,
        )
    with database.reading() as connection:
        nodes = read_nodes(connection, consistency_nodes(first, second))
    path = consistency_proof(nodes.__getitem__, first, second)
    return Consistency(first=first, second=second, path=path)


def root_at(connection: Connection, size: int) -> bytes:
    """The root hash of the tree as it was over ``size`` events, which it has reached."""
    nodes = read_nodes(connection, frontier_nodes(size))
    return read_frontier(nodes.__getitem__, size).root()


def _require_size(database: Database, size: int, field: str) -> None:
    reached = tree_size(database)
    if not 0 <= size <= reached:
        raise Refusal(
            "unknown_size",
            f"The tree stands over {reached} events, not {size}.",
            field=field,
            size=size,
            reached=reached,
        )
