"""Rule books at the desk: those that ship, and those that shows have adopted."""

from functools import lru_cache

from events.refusals import Refusal
from events.rulebook.load import canonical, digest, from_canonical
from events.rulebook.model import RuleBook, RuleBookRef
from service.books import shipped
from service.store import rulebooks
from service.store.engine import Database
from service.store.rulebooks import KeptBook

REMEMBERED = 64
DIGEST_MARK = "sha256:"


class Books:
    """The rule books of one database by digest; what a digest names never changes."""

    def __init__(self, database: Database) -> None:
        self._database = database
        self._by_digest = lru_cache(maxsize=REMEMBERED)(self._read)

    def held_to(self, ref: RuleBookRef) -> RuleBook:
        """The book that a class is held to."""
        return self._by_digest(ref.digest)

    def named(self, name: str) -> RuleBook:
        """The shipped book of that id, or the adopted one of that digest; or a refusal."""
        if name.startswith(DIGEST_MARK):
            return self._by_digest(name)
        book = shipped().get(name)
        if book is None:
            raise Refusal(
                "unknown_rule_book",
                f"No rule book {name} ships with Ringfold; these do: {', '.join(shipped())}.",
                name=name,
            )
        return book

    def _read(self, wanted: str) -> RuleBook:
        kept = rulebooks.find(self._database, wanted)
        if kept is not None:
            return from_canonical(kept.content)
        for book in shipped().values():
            if digest(book) == wanted:
                return book
        raise Refusal("unknown_rule_book", f"No rule book is kept under {wanted}.", digest=wanted)


def reference(book: RuleBook) -> RuleBookRef:
    """How the log names a book."""
    return RuleBookRef(id=book.id, edition=book.edition, digest=digest(book))


def kept(book: RuleBook) -> KeptBook:
    """The book as it is kept beside the log."""
    return KeptBook(digest(book), book.id, book.edition, canonical(book))
