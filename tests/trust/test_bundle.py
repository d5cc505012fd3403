"""Bundles out of a real store, signed by real keys, checked by whoever has the public ones."""

from collections.abc import Sequence
from datetime import UTC, datetime

import msgspec
import pytest

from events.bundle.format import RESULT_KIND, EventLine, ResultLine, Seal, read_line
from events.envelope import Event
from events.projections.result import ResultDocument, official_versions
from events.proof.checkpoint import parse_checkpoint
from events.proof.note import parse_note
from events.refusals import Refusal
from service.signing import verify_checkpoint, verify_document
from service.store import publications
from service.store.engine import Database
from service.store.ids import new_id
from service.store.log import Log
from service.store.publications import Publication
from service.trust.errors import TrustError
from service.trust.settings import TrustSettings
from service.trust.trust import Trust
from tests.histories import many
from tests.store.given import new
from tests.stories import OFFICE, Recorder, scheduled
from tests.trust.given import (
    ORIGIN,
    add_others,
    add_story,
    checked,
    official_twice,
    said,
    verifier_keys,
)

TWICE = official_twice().told


def _results(data: bytes) -> list[ResultLine]:
    lines = [read_line(raw) for raw in data.splitlines()]
    return [line for line in lines if isinstance(line, ResultLine)]


def test_a_bundle_holds_and_gives_the_places_again(trust: Trust, log: Log) -> None:
    add_others(log, 5)
    add_story(log, TWICE)
    add_others(log, 3)
    report = checked(trust, trust.bundle("c-12"))
    assert list(said(report)) == []
    assert (report.stream, report.events) == ("class-c-12", len(TWICE.events))
    assert [document.revision for document in report.results] == [1, 2]
    places = [
        [(row.back_number, row.place) for row in document.seats[0].rows]
        for document in report.results
    ]
    assert places == [[(107, 1), (114, 2), (121, 3)], [(114, 1), (107, 2), (121, 3)]]
    checkpoint = trust.latest_checkpoint()
    assert checkpoint is not None
    assert report.checkpoint is not None
    assert (report.checkpoint.size, report.checkpoint.root) == (checkpoint.size, checkpoint.root)


def test_bundles_of_random_stories_hold(embedded: Trust, sqlite: Database) -> None:
    log = Log(sqlite)
    for number, told in enumerate(many(12, seed=3)):
        add_story(log, told, f"c-{number}", others=number % 3)
        report = checked(embedded, embedded.bundle(f"c-{number}"))
        assert list(said(report)) == []
        versions = official_versions(told.history)
        assert [document.version for document in report.results] == list(versions)


def test_a_bundle_made_twice_is_the_same_bytes(trust: Trust, log: Log) -> None:
    add_story(log, TWICE)
    assert trust.bundle("c-12") == trust.bundle("c-12")
    first = trust.checkpoint_now()
    add_others(log, 4)
    assert trust.bundle("c-12") == trust.bundle("c-12")
    assert trust.latest_checkpoint() == first  # which covers the class already


def test_a_class_that_is_still_running_has_a_bundle_without_results(trust: Trust, log: Log) -> None:
    add_story(log, Recorder().planned().ride("n1").told)
    report = checked(trust, trust.bundle("c-12"))
    assert report.sound
    assert report.results == ()


def test_with_an_earlier_checkpoint_nothing_was_rewritten_since(trust: Trust, log: Log) -> None:
    add_others(log, 6)
    kept = trust.checkpoint_now()
    add_story(log, TWICE)
    earlier = verify_checkpoint(kept.note, verifier_keys(trust))
    assert checked(trust, trust.bundle("c-12", since=6), earlier).sound
    for since in (None, 5):
        report = checked(trust, trust.bundle("c-12", since=since), earlier)
        assert [fault.code for fault in report.faults] == ["consistency_missing"]
    forged = msgspec.structs.replace(earlier, root=bytes(32))
    report = checked(trust, trust.bundle("c-12", since=6), forged)
    assert [fault.code for fault in report.faults] == ["log_rewritten"]


def test_since_what_the_log_does_not_hold_yet_there_is_no_bundle(trust: Trust, log: Log) -> None:
    add_story(log, Recorder().planned(entries=1).told, others=0)
    size = log.head().position
    assert checked(trust, trust.bundle("c-12", since=size)).sound
    assert checked(trust, trust.bundle("c-12", since=0)).sound
    for since in (size + 1, -1):
        with pytest.raises(Refusal) as refused:
            trust.bundle("c-12", since=since)
        assert (refused.value.code, refused.value.field) == ("since_beyond_log", "since")


def test_there_is_no_bundle_of_a_class_that_there_is_not(trust: Trust) -> None:
    with pytest.raises(Refusal) as refused:
        trust.bundle("c-99")
    assert refused.value.code == "unknown_class"


def test_a_book_that_ships_need_not_be_kept_and_another_must(
    embedded: Trust, sqlite: Database
) -> None:
    log = Log(sqlite)
    told = Recorder().planned(entries=1).told
    from_ship = [event.data for event in told.events]
    _append(log, "class-shipped", from_ship)
    assert checked(embedded, embedded.bundle("shipped")).sound
    elsewhere = scheduled(told.book)
    ref = msgspec.structs.replace(elsewhere.rulebook, digest="sha256:00")
    lost = Recorder()
    lost.record(msgspec.structs.replace(elsewhere, rulebook=ref), OFFICE)
    _append(log, "class-lost", [event.data for event in lost.events])
    with pytest.raises(TrustError, match="sha256:00") as refused:
        embedded.bundle("lost")
    assert refused.value.code == "rulebook_missing"


def test_what_was_published_is_bundled_as_it_was_signed_then(
    embedded: Trust, sqlite: Database
) -> None:
    log = Log(sqlite)
    add_story(log, TWICE)
    first = embedded.published_result("c-12", 1)
    _publish(embedded, sqlite, first.document, first.note)
    (old,) = embedded.verifier_keys()
    embedded.keys.rotate()
    embedded.keys.retire(old.id)
    data = embedded.bundle("c-12")
    bundled, signed_now = _results(data)
    assert (bytes(bundled.document), bundled.note.encode()) == first
    signers = [parse_note(line.note.encode()).signatures[0].key_id.hex() for line in _results(data)]
    assert signers == [old.id, embedded.verifier_keys()[1].id]
    assert signed_now.note.encode() == embedded.published_result("c-12", 2).note
    assert checked(embedded, data).sound


def test_a_log_under_another_name_signs_its_results_anew(embedded: Trust, sqlite: Database) -> None:
    add_story(Log(sqlite), TWICE)
    first = embedded.published_result("c-12", 1)
    _publish(embedded, sqlite, first.document, first.note)
    renamed = Trust(sqlite, TrustSettings(origin=f"{ORIGIN}-2", folder=embedded.settings.folder))
    renamed.keys.make()
    assert checked(renamed, renamed.bundle("c-12")).sound
    assert renamed.published_result("c-12", 1).document == first.document
    assert renamed.published_result("c-12", 1).note != first.note


def test_a_published_document_that_was_tampered_with_is_not_covered_up(
    embedded: Trust, sqlite: Database
) -> None:
    add_story(Log(sqlite), TWICE)
    first = embedded.published_result("c-12", 1)
    _publish(embedded, sqlite, first.document.replace(b'"place":1', b'"place":2'), first.note)
    with pytest.raises(ValueError, match="signs another result"):
        embedded.bundle("c-12")


def test_a_signed_result_is_known_by_the_logs_keys(trust: Trust, log: Log) -> None:
    add_story(log, TWICE)
    for revision in (1, 2):
        document, note = trust.published_result("c-12", revision)
        verify_document(RESULT_KIND, document, note, verifier_keys(trust))
        read = msgspec.json.decode(document, type=ResultDocument)
        assert (read.class_id, read.revision) == ("c-12", revision)
        assert note == trust.sign(RESULT_KIND, document)
    for class_id, revision, code in (("c-12", 3, "unknown_revision"), ("x", 1, "unknown_class")):
        with pytest.raises(Refusal) as refused:
            trust.published_result(class_id, revision)
        assert refused.value.code == code


def test_no_byte_of_what_real_keys_signed_can_be_changed(embedded: Trust, sqlite: Database) -> None:
    """Every bit of the seal, and of the checkpoint in the first line."""
    add_story(Log(sqlite), TWICE)
    data = embedded.bundle("c-12")
    lines = data.splitlines(keepends=True)
    head, seal = len(lines[0]), len(data) - len(lines[-1])
    for offset in [*range(0, head, 3), *range(seal, len(data))]:
        spoilt = bytearray(data)
        spoilt[offset] ^= 1 << (offset % 8)
        assert not checked(embedded, bytes(spoilt)).sound


def test_a_seal_of_the_log_itself_does_not_save_a_spoilt_bundle(
    embedded: Trust, sqlite: Database
) -> None:
    add_story(Log(sqlite), TWICE)
    lines = embedded.bundle("c-12").splitlines(keepends=True)
    index = next(
        n for n, raw in enumerate(lines) if b'"kind":"event"' in raw and b'"mark":-2' in raw
    )
    lines[index] = lines[index].replace(b'"mark":-2', b'"mark":-1')
    body = b"".join(lines[:-1])
    seal = msgspec.json.encode(Seal(note=embedded.sign("bundle", body).decode()), order="sorted")
    report = checked(embedded, body + seal + b"\n")
    line = read_line(lines[index].removesuffix(b"\n"))
    assert isinstance(line, EventLine)
    version = msgspec.json.decode(line.event)["version"]
    assert [(fault.code, fault.version) for fault in report.faults] == [
        ("event_not_in_log", version)
    ]


def test_during_rotation_the_oldest_key_seals_and_both_sign(
    embedded: Trust, sqlite: Database
) -> None:
    add_story(Log(sqlite), TWICE)
    (old,) = embedded.verifier_keys()
    new = embedded.keys.rotate()
    data = embedded.bundle("c-12")
    seal = read_line(data.splitlines()[-1])
    assert isinstance(seal, Seal)
    assert [s.key_id.hex() for s in parse_note(seal.note.encode()).signatures] == [old.id]
    checkpoint = embedded.latest_checkpoint()
    assert checkpoint is not None
    signers = {s.key_id.hex() for s in parse_note(checkpoint.note).signatures}
    assert signers == {old.id, new.id}
    assert parse_checkpoint(parse_note(checkpoint.note).text).size == checkpoint.size
    assert checked(embedded, data).sound


def _append(log: Log, stream: str, happened: Sequence[Event]) -> None:
    events = [
        msgspec.structs.replace(new(event_id=new_id()), data=data, actor=OFFICE)
        for data in happened
    ]
    log.append(stream, events, expected_version=0)


def _publish(trust: Trust, database: Database, document: bytes, note: bytes) -> None:
    read = msgspec.json.decode(document, type=ResultDocument)
    row = Publication(
        class_id=read.class_id,
        revision=read.revision,
        show_id=read.show,
        version=read.version,
        position=read.position,
        document=document,
        note=note,
        checkpoint=trust.covering(read.position),
        official_at=read.official_at,
        published_at=datetime.now(UTC),
    )
    with database.writing() as connection:
        publications.insert(connection, row)
