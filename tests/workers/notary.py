"""A notary of the tests' own: the log's whole tree in memory, and one key."""

import threading

from sqlalchemy import select

from events.proof.keys import VerifierKey
from events.proof.paths import consistency_proof
from events.proof.tree import Frontier, NodeAt, grow, read_frontier
from service.signing import SigningKey, sign_checkpoint, sign_document
from service.store.log import Log
from service.store.tables import event

ORIGIN = "quiet-creek.example/log"
KEY = SigningKey.from_raw(ORIGIN, bytes(range(32)))
KNOWN: tuple[VerifierKey, ...] = (KEY.verifier,)


class MemoryNotary:
    """Signs what the log holds, and keeps every checkpoint that it signed, by size."""

    def __init__(self, log: Log) -> None:
        self._log = log
        self._nodes: dict[NodeAt, bytes] = {}
        self._frontier = Frontier()
        self._guard = threading.Lock()
        self.checkpoints: dict[int, bytes] = {}

    def cover(self, position: int) -> None:
        if not any(size >= position for size in self.checkpoints):
            self.checkpoint()

    def covering(self, position: int) -> int:
        return min(size for size in self.checkpoints if size >= position)

    def root(self, size: int) -> bytes:
        return read_frontier(self._nodes.__getitem__, size).root()

    def sign(self, kind: str, document: bytes) -> bytes:
        return sign_document(kind, document, [KEY])

    def checkpoint(self) -> None:
        with self._guard:
            last = max(self.checkpoints, default=None)
            self._grow()
            size = self._frontier.size
            if size in self.checkpoints or size == 0:
                return
            proof = consistency_proof(self._nodes.__getitem__, last, size) if last else ()
            self.checkpoints[size] = sign_checkpoint(
                [KEY],
                known=KNOWN,
                last_signed=self.checkpoints[last] if last else None,
                origin=ORIGIN,
                size=size,
                root=self._frontier.root(),
                proof=proof,
            )

    def _grow(self) -> None:
        new = select(event.c.leaf_hash).where(event.c.position > self._frontier.size)
        with self._log.database.reading() as connection:
            leaves = connection.scalars(new.order_by(event.c.position)).all()
        growth = grow(self._frontier, leaves)
        self._nodes |= {NodeAt(node.level, node.nth): node.hash for node in growth.nodes}
        self._frontier = growth.frontier
