"""An erased person is named nowhere, and everything that was signed still holds."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from events.bundle.format import RESULT_KIND
from events.envelope import stream_of
from events.judged_class import commands as ask_class
from events.judged_class.commands import EntryRef
from service.desk import classes, people, story
from service.desk.desk import Desk
from service.publishing.links import Links
from service.publishing.package import ndjson, package
from service.publishing.page import page
from service.publishing.published import published
from service.signing import verify_document
from service.store import publications
from service.store.engine import Database
from service.store.verify import verify
from service.trust.trust import Trust
from service.workers.publish import Publications
from service.workers.works import Works
from tests.trust.given import checked, verifier_keys
from tests.workers.office import RIDERS, SHOW, Office

CLASS = "c-1"
RIDER = "p-1"
NAME = RIDERS[RIDER]
SURNAME = NAME.split()[1]
CONTACT = "mara@stable.example"
STATEMENT = f"{NAME} was marked down in the circle for a lead that she had."
WORDS = (NAME, SURNAME, CONTACT)


class Published:
    """A show whose class was protested, corrected and published twice, and named a rider."""

    def __init__(self, database: Database, trust: Trust) -> None:
        self.desk = Desk(database, lambda: datetime.now(UTC))
        self.trust = trust
        self.office = Office(self.desk)
        self.office.open_show()
        people.correct_person(self.desk, RIDER, name=NAME, contact=CONTACT)
        self.office.ride_class(CLASS)
        self.office.publish(CLASS)
        self.office.do(
            CLASS,
            ask_class.FileProtest(
                protest="protest-1",
                filed_by=RIDER,
                ground="arithmetic",
                statement=STATEMENT,
                ref=EntryRef(entry="e-1"),
            ),
        )
        rule = ask_class.RuleProtest(protest="protest-1", verdict="denied", reason="Added up anew.")
        classes.carry_out(self.desk, self.office.ask("steward"), CLASS, rule)
        self.office.correct(CLASS, mark=2)
        works = Works(self.desk, [Publications(self.desk, trust, Links())], [], trust)
        works.register()
        assert works.follow("publications")

    def erase(self) -> None:
        """What a show office does when a rider asks to be forgotten."""
        caller = self.office.ask().caller
        people.erase_person(self.desk, caller, RIDER)
        for event in self.desk.log.read(stream_of("class", CLASS)):
            if getattr(event.data, "statement", None) is not None:
                assert story.withhold_texts(self.desk, caller, CLASS, event.version) == 1

    def handed_out(self) -> Iterator[tuple[str, bytes]]:
        """Everything that anybody is given: bundle, signed results, pages, packages."""
        yield "bundle", self.trust.bundle(CLASS)
        rows = publications.of_class(self.desk.database, CLASS)
        shown = [published(self.desk, row, with_reasons=True) for row in rows]
        for row, each in zip(rows, shown, strict=True):
            yield f"document {row.revision}", row.document
            yield f"page {row.revision}", page(each, newest=len(rows)).encode()
        yield "lines", b"".join(ndjson(shown))
        yield "package", package(SHOW, "Autumn", shown)


@pytest.fixture
def shown(sqlite: Database, embedded: Trust) -> Published:
    return Published(sqlite, embedded)


def _dump(database: Database) -> str:
    """Every row of every table, blobs read as text."""
    path = str(database.engine.url.database)
    with closing(sqlite3.connect(path)) as connection:
        tables = connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
        rows = [
            row
            for (table,) in tables.fetchall()
            for row in connection.execute(f"SELECT * FROM {table}")
        ]
    return "\n".join(
        value.decode("utf-8", "replace") if isinstance(value, bytes) else str(value)
        for row in rows
        for value in row
    )


def test_before_the_name_is_where_it_belongs_and_never_in_what_is_signed(
    shown: Published,
) -> None:
    given = dict(shown.handed_out())
    assert NAME.encode() in given["page 1"]
    assert NAME in _dump(shown.desk.database)
    assert STATEMENT in _dump(shown.desk.database)
    for signed in ("bundle", "document 1", "document 2"):
        assert not any(word.encode() in given[signed] for word in WORDS)


def test_afterwards_no_name_is_readable_anywhere(shown: Published) -> None:
    shown.erase()
    for what, data in shown.handed_out():
        assert not any(word.encode() in data for word in WORDS), what
    dump = _dump(shown.desk.database)
    assert not any(word in dump for word in WORDS)
    assert b"withheld" in dict(shown.handed_out())["page 1"]


def test_nor_in_the_files_of_the_database(shown: Published) -> None:
    file = Path(str(shown.desk.database.engine.url.database))
    written = [file, *file.parent.glob(f"{file.name}-*")]
    assert any(NAME.encode() in each.read_bytes() for each in written)
    shown.erase()
    for each in written:
        assert not any(word.encode() in each.read_bytes() for word in WORDS), each.name


def test_and_every_digest_and_signature_holds_as_before(shown: Published, sqlite: Database) -> None:
    before = shown.trust.bundle(CLASS)
    documents = [(row.document, row.note) for row in publications.of_class(sqlite, CLASS)]
    shown.erase()
    assert shown.trust.bundle(CLASS) == before
    report = checked(shown.trust, before)
    assert report.sound
    assert [document.revision for document in report.results] == [1, 2]
    rows = publications.of_class(sqlite, CLASS)
    assert [(row.document, row.note) for row in rows] == documents
    for row in rows:
        verify_document(RESULT_KIND, row.document, row.note, verifier_keys(shown.trust))
    assert verify(shown.desk.log).findings == ()
    assert shown.trust.check_log() == ()
