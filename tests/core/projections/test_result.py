"""The document of official results: the same bytes wherever it is derived."""

import json
from datetime import timedelta, timezone

import msgspec
import pytest
import rfc8785
from hypothesis import given

from events.catalogue import CODEC
from events.judged_class import commands as ask
from events.projections.history import History
from events.projections.placing import placing
from events.projections.result import ResultDocument, official_versions, result_document
from tests.histories import histories
from tests.stories import OFFICE, REASON, STEWARD, Recorder, Told, entry

ROOT = bytes(range(32))


def _documents(told: Told) -> list[ResultDocument]:
    return [
        result_document(told.history, version, told.book, root=ROOT)
        for version in official_versions(told.history)
    ]


@given(told=histories())
def test_a_document_derived_again_from_the_bytes_is_the_same_byte_for_byte(told: Told) -> None:
    again = tuple(
        CODEC.decode(raw, event.position) for raw, event in zip(told.raws, told.events, strict=True)
    )
    copy = Told(told.book, told.raws, History(again))
    first, second = _documents(told), _documents(copy)
    assert [each.canonical() for each in first] == [each.canonical() for each in second]


@given(told=histories())
def test_later_events_leave_an_earlier_document_as_it_is(told: Told) -> None:
    for document in _documents(told):
        then = History(told.events[: document.version])
        alone = result_document(then, document.version, told.book, root=ROOT)
        assert alone.canonical() == document.canonical()


@given(told=histories())
def test_its_bytes_are_canonical_json(told: Told) -> None:
    for document in _documents(told):
        assert document.canonical() == rfc8785.dumps(json.loads(document.canonical()))


@given(told=histories())
def test_it_says_what_the_placing_said_when_results_became_official(told: Told) -> None:
    for document in _documents(told):
        then = placing(told.history.at_version(document.version), told.book)
        judges = [seat for seat in then.seats if seat.kind == "judge"]
        assert [seat.seat for seat in document.seats] == [seat.seat for seat in judges]
        assert [
            [(row.entry, row.place, row.tied, row.total) for row in seat.rows]
            for seat in document.seats
        ] == [[(row.entry, row.place, row.tied, row.total) for row in seat.rows] for seat in judges]
        assert (document.revision, document.class_size) == (then.revision, then.class_size)


def test_the_same_instant_in_another_zone_makes_the_same_bytes() -> None:
    story = Recorder().planned(entries=1).ride("n1").signed().official()
    zone = timezone(timedelta(hours=-5))
    elsewhere = History(
        tuple(
            msgspec.structs.replace(event, recorded_at=event.recorded_at.astimezone(zone))
            for event in story.events
        )
    )
    (here,) = _documents(story.told)
    there = result_document(elsewhere, story.version, story.book, root=ROOT)
    assert there.canonical() == here.canonical()


def test_a_first_revision_supersedes_nothing_and_bears_ids_only() -> None:
    story = Recorder().planned(entries=2).ride("n1", first=2).ride("n2").signed().official()
    (document,) = _documents(story.told)
    assert document.supersedes is None
    assert (document.revision, document.version) == (1, story.version)
    assert (document.position, document.official_at) == (story.version, story.now)
    (seat,) = document.seats
    assert [(row.back_number, row.working_order, row.place) for row in seat.rows] == [
        (107, 1, 1),
        (114, 2, 2),
    ]
    assert document.root == "AAECAwQFBgcICQoLDA0ODxAREhMUFRYXGBkaGxwdHh8="


def test_a_revision_says_what_moved_and_on_whose_word() -> None:
    story = Recorder().planned(entries=2).ride("n1", first=2).ride("n2").signed().official()
    first = story.version
    story.record(ask.ReopenResults(authority="office_error", reason=REASON), OFFICE)
    correction = ask.MakeCorrection(
        correction="c1",
        seat="A",
        ref=entry("n2"),
        authority="office_error",
        reason=REASON,
        replaces=11,
        fact=ask.GiveMark(seat="A", ref=entry("n2"), maneuver=1, mark=4),
    )
    story.record(correction, STEWARD)
    corrected = story.version
    story.official()
    _, second = _documents(story.told)
    assert second.supersedes is not None
    assert (second.supersedes.revision, second.supersedes.version) == (1, first)
    assert [
        (m.back_number, m.before and m.before.place, m.after and m.after.place)
        for m in second.supersedes.moved
    ] == [(107, 1, 2), (114, 2, 1)]
    (note,) = second.supersedes.corrections
    assert (note.version, note.authority, note.protest) == (corrected, "office_error", None)


def test_an_event_that_made_nothing_official_has_no_document() -> None:
    story = Recorder().planned(entries=1)
    with pytest.raises(ValueError, match="event 2 made no results official"):
        result_document(story.told.history, 2, story.book, root=ROOT)


def test_a_class_ridden_as_one_says_nothing_of_sections() -> None:
    told = _official(None)
    [document] = _documents(told)
    assert b"section" not in document.canonical()


def test_each_section_is_a_result_of_its_own_in_the_document() -> None:
    [document] = _documents(_official((1, 2)))
    assert [(part.section, part.class_size) for part in document.sections] == [(1, 1), (2, 2)]
    assert [
        [(row.entry, row.place, row.section) for row in part.seats[0].rows]
        for part in document.sections
    ] == [[("n1", 1, 1)], [("n3", 1, 2), ("n2", 2, 2)]]
    assert [(row.entry, row.section) for row in document.seats[0].rows] == [
        ("n1", 1),
        ("n3", 2),
        ("n2", 2),
    ]
    read = msgspec.json.decode(document.canonical(), type=ResultDocument)
    assert read.canonical() == document.canonical()


def _official(sections: tuple[int, ...] | None) -> Told:
    """An official class of three, drawn in sections of these sizes."""
    story = Recorder().planned(entries=3)
    order = ask.SetDraw(order=("n1", "n2", "n3"), sections=sections)
    story.record(order, OFFICE)
    story.ride("n1", first=1).ride("n2", first=2).ride("n3", first=3).signed().official()
    return story.told
