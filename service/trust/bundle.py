"""Making a bundle of a class: its events with their proofs, its book, its results, sealed."""

from collections.abc import Iterator, Mapping

import msgspec

from events.bundle.format import (
    FORMAT,
    SEAL_KIND,
    AnyLine,
    Consistency,
    EventLine,
    Head,
    ResultLine,
    RuleBookLine,
    Seal,
    line_bytes,
    path_text,
)
from events.envelope import stream_of
from events.proof.paths import (
    consistency_nodes,
    consistency_proof,
    inclusion_nodes,
    inclusion_proof,
)
from events.proof.tree import NodeAt
from service.signing import sign_document
from service.store.checkpoints import SignedCheckpoint
from service.store.engine import Database
from service.store.merkle import read_nodes
from service.trust.class_story import ClassStory
from service.trust.keys import Keys
from service.trust.results import SignedResult


def bundle_of(
    database: Database,
    keys: Keys,
    of: ClassStory,
    results: Mapping[int, SignedResult],
    *,
    under: SignedCheckpoint,
    since: int | None,
) -> bytes:
    """The bundle under a checkpoint that covers the class, with a proof since an earlier size.

    The oldest key in force seals it: whoever knows any key of the log knows that one longest.
    """
    nodes = _nodes(database, of, results, under.size, since)
    lines = _lines(nodes, of, results, under, since)
    body = b"".join(map(line_bytes, lines))
    seal = sign_document(SEAL_KIND, body, keys.in_force()[:1])
    return body + line_bytes(Seal(note=seal.decode()))


def _nodes(
    database: Database,
    of: ClassStory,
    results: Mapping[int, SignedResult],
    size: int,
    since: int | None,
) -> Mapping[NodeAt, bytes]:
    """Everything that the proofs are made of, read at once."""
    wanted: set[NodeAt] = set()
    for event in of.history.events:
        wanted.update(inclusion_nodes(event.position - 1, size))
    for version in results:
        wanted.update(consistency_nodes(of.history.events[version - 1].position, size))
    if since is not None:
        wanted.update(consistency_nodes(since, size))
    with database.reading() as connection:
        return read_nodes(connection, wanted)


def _lines(
    nodes: Mapping[NodeAt, bytes],
    of: ClassStory,
    results: Mapping[int, SignedResult],
    under: SignedCheckpoint,
    since: int | None,
) -> Iterator[AnyLine]:
    read = nodes.__getitem__
    yield Head(
        format=FORMAT,
        stream=stream_of("class", of.class_id),
        events=len(of.stored),
        checkpoint=under.note.decode(),
    )
    yield RuleBookLine(digest=of.book_digest, content=msgspec.Raw(of.book_content))
    if since is not None:
        yield Consistency(first=since, path=path_text(consistency_proof(read, since, under.size)))
    for position, raw in of.stored:
        path = inclusion_proof(read, position - 1, under.size)
        yield EventLine(position=position, path=path_text(path), event=msgspec.Raw(raw))
    for version, result in results.items():
        position = of.history.events[version - 1].position
        yield ResultLine(
            document=msgspec.Raw(result.document),
            note=result.note.decode(),
            path=path_text(consistency_proof(read, position, under.size)),
        )
