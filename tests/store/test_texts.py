"""Free text is kept beside the log under its salted digest, and can be withheld for good."""

import hashlib
from datetime import UTC, datetime

import pytest
from hypothesis import given
from sqlalchemy import select
from sqlalchemy.exc import IntegrityError

from service.store.engine import Database
from service.store.log import Log
from service.store.tables import text
from service.store.texts import bodies, keeping, reference, seal, withhold
from tests.store.given import CLASS, new
from tests.strategies import texts

NOW = datetime(2026, 6, 6, 12, tzinfo=UTC)


@given(texts)
def test_a_reference_commits_to_the_salt_and_the_text(body: str) -> None:
    sealed = seal(body)
    assert sealed.ref == hashlib.sha256(sealed.salt + body.encode()).hexdigest()
    assert reference(sealed.salt, body) == sealed.ref
    assert reference(sealed.salt, f"{body}.") != sealed.ref


def test_the_same_text_has_another_reference_each_time() -> None:
    sealed = [seal("lame left fore") for _ in range(3)]
    assert len({each.ref for each in sealed}) == 3
    assert {len(each.salt) for each in sealed} == {32}


def test_text_that_postgresql_cannot_hold_is_refused_everywhere() -> None:
    with pytest.raises(ValueError, match="NUL"):
        seal("a\0b")


def test_texts_are_found_by_reference(log: Log, database: Database) -> None:
    kept = [seal("Grüße 😀"), seal("")]
    log.append(CLASS, [new()], expected_version=0, beside=keeping(kept))
    wanted = [each.ref for each in kept]
    assert bodies(database, [*wanted, "unknown"]) == {wanted[0]: "Grüße 😀", wanted[1]: ""}
    assert bodies(database, []) == {}


def test_no_texts_need_no_statement() -> None:
    assert keeping([]) == ()


def test_a_withheld_text_leaves_neither_words_nor_salt(log: Log, database: Database) -> None:
    withheld, kept = seal("a name"), seal("softer transitions")
    log.append(CLASS, [new()], expected_version=0, beside=keeping([withheld, kept]))
    assert withhold(database, withheld.ref, now=NOW)
    assert bodies(database, [withheld.ref, kept.ref]) == {
        withheld.ref: None,
        kept.ref: "softer transitions",
    }
    with database.reading() as connection:
        row = connection.execute(select(text).where(text.c.ref == withheld.ref)).one()
    assert (row.salt, row.body, row.withheld_at) == (None, None, NOW)


def test_there_is_nothing_to_withhold_twice(log: Log, database: Database) -> None:
    sealed = seal("a name")
    log.append(CLASS, [new()], expected_version=0, beside=keeping([sealed]))
    assert withhold(database, sealed.ref, now=NOW)
    assert not withhold(database, sealed.ref, now=NOW)
    assert not withhold(database, "unknown", now=NOW)


def test_a_text_is_not_half_withheld(log: Log, database: Database) -> None:
    sealed = seal("a name")
    log.append(CLASS, [new()], expected_version=0, beside=keeping([sealed]))
    with (
        pytest.raises(IntegrityError, match="ck_text_withheld_whole"),
        database.writing() as connection,
    ):
        connection.execute(text.update().values(body=None))
