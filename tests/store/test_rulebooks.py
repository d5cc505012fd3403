"""Every rule book that a class was held to is kept once, under the digest of its content."""

import msgspec
import pytest

from events.rulebook.load import canonical, digest
from service.store.engine import Database
from service.store.log import Log
from service.store.rulebooks import KeptBook, content_digest, find, keeping
from tests.core.books import SMALL
from tests.store.given import CLASS, OTHER, new

BOOK = KeptBook(digest(SMALL), SMALL.id, SMALL.edition, canonical(SMALL))


def test_the_digest_is_that_of_the_canonical_book() -> None:
    assert content_digest(canonical(SMALL)) == digest(SMALL)


def test_a_book_is_found_by_its_digest(log: Log, database: Database) -> None:
    log.append(CLASS, [new()], expected_version=0, beside=keeping(database, BOOK))
    assert find(database, BOOK.digest) == BOOK
    assert find(database, "sha256:00") is None


def test_a_book_that_is_kept_already_is_no_obstacle(log: Log, database: Database) -> None:
    log.append(CLASS, [new()], expected_version=0, beside=keeping(database, BOOK))
    log.append(OTHER, [new()], expected_version=0, beside=keeping(database, BOOK))
    assert find(database, BOOK.digest) == BOOK


def test_two_editions_of_a_book_are_kept_side_by_side(log: Log, database: Database) -> None:
    later = msgspec.structs.replace(SMALL, edition="2")
    other = KeptBook(digest(later), later.id, later.edition, canonical(later))
    log.append(
        CLASS,
        [new()],
        expected_version=0,
        beside=[*keeping(database, BOOK), *keeping(database, other)],
    )
    assert (find(database, BOOK.digest), find(database, other.digest)) == (BOOK, other)


def test_a_digest_of_something_else_is_refused(sqlite: Database) -> None:
    with pytest.raises(ValueError, match="is not the digest of small"):
        keeping(sqlite, BOOK._replace(content=b"{}"))
