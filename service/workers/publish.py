"""Publishing: each time that results become official, one signed revision of them, for good."""

from collections.abc import Mapping
from typing import Protocol

from sqlalchemy import Connection

from events.catalogue import ALL_EVENTS
from events.envelope import Event, RecordedEvent
from events.judged_class.events import ResultsMadeOfficial
from events.projections.history import History
from events.projections.result import ResultDocument, result_document
from service.desk.desk import Desk
from service.publishing.links import Links
from service.store import notices, publications
from service.store.publications import Publication
from service.workers.follow import Handler

RESULT_KIND = "result"


class Notary(Protocol):
    """Whoever grows the log's tree, signs its checkpoints and signs documents."""

    def cover(self, position: int) -> None:
        """Have a checkpoint that covers the log up to a position: sign one, unless one does."""

    def covering(self, position: int) -> int:
        """The size of the first checkpoint that covers the log up to a position."""

    def root(self, size: int) -> bytes:
        """The root of the tree over the first ``size`` events, which a checkpoint covers."""

    def sign(self, kind: str, document: bytes) -> bytes:
        """The note that signs the document."""


class PublishedOtherwise(Exception):
    """What the log now gives is not what was published of it, which must never be."""


class Publications:
    """The follower that publishes official results.

    What was published stands: made anew, it is only held against what the log gives now.
    """

    name = "publications"
    version = 1

    def __init__(self, desk: Desk, notary: Notary, links: Links) -> None:
        self._desk = desk
        self._notary = notary
        self._links = links
        self.handlers: Mapping[type[Event], Handler | None] = {
            **dict.fromkeys(ALL_EVENTS),
            ResultsMadeOfficial: self._made_official,
        }

    def prepare(self, event: RecordedEvent) -> None:
        """Have a checkpoint signed that covers the event."""
        self._notary.cover(event.position)

    def clear(self, connection: Connection) -> None:
        """Leave what was published as it is."""

    def _made_official(self, connection: Connection, event: RecordedEvent) -> None:
        document = self._document(event)
        raw = document.canonical()
        known = publications.published_at_position(connection, event.position)
        if known is not None:
            if known.document != raw:
                raise PublishedOtherwise(f"revision {known.revision} of {known.class_id}")
            return
        published = Publication(
            class_id=document.class_id,
            revision=document.revision,
            show_id=document.show,
            version=document.version,
            position=document.position,
            document=raw,
            note=self._notary.sign(RESULT_KIND, raw),
            checkpoint=self._notary.covering(event.position),
            official_at=document.official_at,
            published_at=self._desk.clock(),
        )
        publications.insert(connection, published)
        self._announce(connection, published, corrected=document.supersedes is not None)

    def _document(self, event: RecordedEvent) -> ResultDocument:
        history = History(self._desk.log.read(event.stream, to=event.version))
        scheduled = history.at_version(event.version).scheduled
        assert scheduled is not None  # noqa: S101 - a class begins with its scheduling
        book = self._desk.books.held_to(scheduled.rulebook)
        root = self._notary.root(event.position)
        return result_document(history, event.version, book, root=root)

    def _announce(self, connection: Connection, of: Publication, *, corrected: bool) -> None:
        notices.announce(
            connection,
            about=notices.CORRECTED if corrected else notices.PUBLISHED,
            key=f"result/{of.class_id}/{of.revision}",
            position=of.position,
            happened_at=of.official_at,
            show_id=of.show_id,
            data={
                "class": of.class_id,
                "show": of.show_id,
                "revision": of.revision,
                "version": of.version,
                "position": of.position,
                "url": self._links.result(of.class_id, of.revision),
            },
            now=of.published_at,
        )
