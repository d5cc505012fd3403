"""The story of one class as the log holds it: its bytes, its events, its rule book."""

import msgspec

from events.envelope import RecordedEvent, stream_of
from events.judged_class.events import ClassScheduled
from events.projections.history import History
from events.refusals import Refusal
from events.rulebook.load import canonical, digest, from_canonical
from events.rulebook.model import RuleBook
from service.books import shipped
from service.store import rulebooks
from service.store.log import Log
from service.store.stream_bytes import StoredEvent, stream_bytes
from service.trust.errors import TrustError


class ClassStory(msgspec.Struct, frozen=True, kw_only=True):
    """A class, every event of it from version 1 on, and the book it is held to."""

    class_id: str
    stored: tuple[StoredEvent, ...]
    history: History
    book: RuleBook
    book_digest: str
    book_content: bytes

    @property
    def last(self) -> RecordedEvent:
        """Its newest event."""
        return self.history.events[-1]


def class_story(log: Log, class_id: str) -> ClassStory:
    """The whole story of a class; ``Refusal`` where there is no such class."""
    stored = stream_bytes(log, stream_of("class", class_id))
    events = tuple(log.codec.decode(each.bytes, each.position) for each in stored)
    first = events[0].data if events else None
    if not isinstance(first, ClassScheduled):
        raise Refusal("unknown_class", f"There is no class {class_id}.", class_id=class_id)
    content = _book_content(log, first.rulebook.digest)
    return ClassStory(
        class_id=class_id,
        stored=stored,
        history=History(events),
        book=from_canonical(content),
        book_digest=first.rulebook.digest,
        book_content=content,
    )


def _book_content(log: Log, wanted: str) -> bytes:
    kept = rulebooks.find(log.database, wanted)
    if kept is not None:
        return kept.content
    for book in shipped().values():
        if digest(book) == wanted:
            return canonical(book)
    raise TrustError("rulebook_missing", f"no rule book is kept under {wanted}", digest=wanted)
