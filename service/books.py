"""The rule books that ship with the project."""

from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from types import MappingProxyType

from events.rulebook.load import load_toml
from events.rulebook.model import RuleBook


class NoSuchBook(LookupError):
    """A rule book's id that no shipped book has."""

    def __init__(self, book_id: str, known: tuple[str, ...]) -> None:
        super().__init__(f"There is no rule book `{book_id}` here; there are {', '.join(known)}.")
        self.book_id = book_id
        self.known = known


@cache
def shipped() -> Mapping[str, RuleBook]:
    """Every rule book that ships with the project, by id, in the order of ids."""
    texts = sorted(
        (entry.name, entry.read_text(encoding="utf-8"))
        for entry in files("events.rulebook").joinpath("books").iterdir()
        if entry.name.endswith(".toml")
    )
    books = [load_toml(text) for _, text in texts]
    return MappingProxyType({book.id: book for book in books})


def shipped_book(book_id: str) -> RuleBook:
    """The shipped rule book of that id; ``NoSuchBook`` names the ids there are."""
    books = shipped()
    if book_id not in books:
        raise NoSuchBook(book_id, tuple(books))
    return books[book_id]
