"""Signed results: as they were published, else derived and signed the same way."""

from collections.abc import Mapping
from typing import NamedTuple

from events.bundle.format import RESULT_KIND
from events.projections.result import official_versions, result_document
from events.proof.refused import NoteRefused
from service.signing import sign_document, verify_document
from service.store import publications
from service.store.engine import Database
from service.trust.class_story import ClassStory
from service.trust.keys import Keys
from service.trust.proofs import root_at


class SignedResult(NamedTuple):
    """The document of one official revision, and the note that signs it."""

    document: bytes
    note: bytes


def signed_results(database: Database, keys: Keys, of: ClassStory) -> Mapping[int, SignedResult]:
    """Every official revision of a class, by the version of the event that made it official.

    The tree must have reached the class's last event. What was published is given as it was,
    unless it was signed under another name of the log.
    """
    published = {
        each.version: SignedResult(each.document, each.note)
        for each in publications.of_class(database, of.class_id)
    }
    found = {}
    for version in official_versions(of.history):
        known = published.get(version)
        if known is None or not _is_ours(keys, known):
            known = _signed(database, keys, of, version)
        found[version] = known
    return found


def _is_ours(keys: Keys, result: SignedResult) -> bool:
    """A log that goes on under another origin signs what it once published anew."""
    try:
        verify_document(RESULT_KIND, result.document, result.note, keys.known())
    except NoteRefused as refused:
        if refused.code == "not_signed_by_known_key":
            return False
        raise
    return True


def _signed(database: Database, keys: Keys, of: ClassStory, version: int) -> SignedResult:
    position = of.history.events[version - 1].position
    with database.reading() as connection:
        root = root_at(connection, position)
    document = result_document(of.history, version, of.book, root=root).canonical()
    return SignedResult(document, sign_document(RESULT_KIND, document, keys.in_force()))
