"""What a bundle shows by itself, and how each thing that does not hold is told."""

from random import Random

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.bundle.check import check_bundle
from events.bundle.format import (
    RESULT_KIND,
    AnyLine,
    Consistency,
    EventLine,
    ResultLine,
    line_bytes,
)
from events.bundle.keys import Keys
from events.catalogue import CODEC
from events.envelope import NewEvent
from events.projections.history import History
from events.projections.result import official_versions
from events.proof.document import document_text
from tests.core.bundle.bundles import (
    KEYS,
    STRANGER,
    Logged,
    check,
    codes,
    logged,
    note,
    sealed,
    sealed_bytes,
    stories,
)
from tests.core.proof.notes import ALICE, BOB, SUCCESSOR, holds
from tests.histories import NARROW, histories
from tests.stories import STREAM, Recorder, Told

(TWICE,) = stories(1, revisions=2)
EVENTS = len(TWICE.told.events)


def _index(lines: list[AnyLine], kind: type[AnyLine], nth: int = 0) -> int:
    return [index for index, line in enumerate(lines) if isinstance(line, kind)][nth]


@given(told=histories(), since=st.booleans())
def test_every_bundle_as_it_is_made_holds(told: Told, since: bool) -> None:
    log = logged(told)
    earlier = max(1, log.size // 2) if since else None
    report = check(log.bundle(earlier), log.checkpoint(earlier) if earlier else None)
    assert report.faults == ()
    assert report.sound
    assert (report.stream, report.events) == (STREAM, len(told.events))
    assert report.checkpoint == log.checkpoint()
    versions = official_versions(told.history)
    assert tuple(document.version for document in report.results) == versions


def test_nothing_at_all_is_no_bundle() -> None:
    for data in (b"", b"\n", b"{}", b"\xff\n"):
        assert codes(check(data)) == ["line_unreadable", "head_missing", "seal_missing"]
        assert not check(data).sound


def test_a_line_nested_without_end_or_not_in_utf_8_is_unreadable() -> None:
    lines = TWICE.bundle().splitlines(keepends=True)
    for spoilt in (
        b'{"event":' + b"[" * 100_000 + b"\n",
        lines[4].replace(b"office", b"offic\xff"),
    ):
        report = check(b"".join([*lines[:4], spoilt, *lines[5:]]))
        assert report.faults[0].version == 3
        assert (report.faults[0].line, report.events) == (5, EVENTS - 1)


# --- whose signatures -----------------------------------------------------------------------------


def test_a_bundle_of_a_log_whose_keys_are_not_known_says_only_that() -> None:
    report = check_bundle(TWICE.bundle(), Keys((STRANGER,), holds))
    assert codes(report) == ["checkpoint_refused"]
    assert report.checkpoint is None
    assert report.faults[0].says == (
        "The checkpoint is not good: none of the known keys has signed the note."
    )


def test_another_logs_key_does_not_vouch_for_this_one() -> None:
    lines = TWICE.lines()
    forged: list[AnyLine] = [TWICE.head(BOB), *lines[1:]]
    assert codes(check(sealed(forged)))[:1] == ["checkpoint_refused"]
    assert codes(check(sealed(lines, BOB))) == ["seal_broken"]
    lines = [TWICE.head(), TWICE.rulebook(), *TWICE.event_lines(), *TWICE.result_lines(BOB)]
    assert codes(check(sealed(lines))) == ["result_refused"] * 2


def test_while_one_key_follows_another_either_is_enough_to_know() -> None:
    both = ALICE, SUCCESSOR
    lines: list[AnyLine] = [
        TWICE.head(*both),
        TWICE.rulebook(),
        *TWICE.event_lines(),
        *TWICE.result_lines(*both),
    ]
    for sealer in both:
        assert check_bundle(sealed(lines, sealer), Keys((sealer,), holds)).sound


def test_a_seal_with_a_second_signature_is_refused_as_such() -> None:
    report = check(sealed(TWICE.lines(), ALICE, STRANGER))
    assert codes(report) == ["seal_broken"]
    assert report.faults[0].says == (
        "The bundle is not as it was sealed: a seal bears one signature, not 2."
    )
    assert report.faults[0].line == len(TWICE.lines()) + 1


# --- earlier checkpoints --------------------------------------------------------------------------


def test_an_earlier_checkpoint_shows_that_nothing_was_rewritten_since() -> None:
    for size in (1, 7, TWICE.size - 1):
        assert check(TWICE.bundle(since=size), TWICE.checkpoint(size)).sound
    assert check(TWICE.bundle(), TWICE.checkpoint()).sound
    assert check(TWICE.bundle(), TWICE.checkpoint(0)).sound


def test_a_log_that_was_rewritten_is_told() -> None:
    earlier = msgspec.structs.replace(TWICE.checkpoint(7), root=bytes(32))
    report = check(TWICE.bundle(since=7), earlier)
    assert codes(report) == ["log_rewritten"]
    assert "since the checkpoint of 7 events" in report.faults[0].says
    whole = msgspec.structs.replace(TWICE.checkpoint(), root=bytes(32))
    assert codes(check(TWICE.bundle(), whole)) == ["log_rewritten"]


def test_a_proof_that_is_missing_is_asked_for() -> None:
    for since in (None, 6):
        report = check(TWICE.bundle(since=since), TWICE.checkpoint(7))
        assert codes(report) == ["consistency_missing"]
        assert "--since" in report.faults[0].says


def test_a_bundle_older_than_the_checkpoint_proves_nothing_of_it() -> None:
    later = msgspec.structs.replace(TWICE.checkpoint(), size=TWICE.size + 1)
    assert codes(check(TWICE.bundle(), later)) == ["bundle_older"]


def test_a_checkpoint_of_another_log_is_told_apart() -> None:
    elsewhere = msgspec.structs.replace(TWICE.checkpoint(), origin=BOB.name)
    assert codes(check(TWICE.bundle(), elsewhere)) == ["checkpoint_of_another_log"]


def test_no_question_of_an_earlier_checkpoint_is_answered_without_a_good_one() -> None:
    report = check_bundle(TWICE.bundle(), Keys((STRANGER,), holds), TWICE.checkpoint(7))
    assert codes(report) == ["checkpoint_refused"]


# --- the rule book --------------------------------------------------------------------------------


def test_a_rule_book_that_is_not_its_digest_is_told() -> None:
    lines = TWICE.lines()
    lines[1] = msgspec.structs.replace(TWICE.rulebook(), digest="sha256:00")
    assert codes(check(sealed(lines))) == ["rulebook_digest"]


def test_another_rule_book_under_its_own_digest_is_not_the_classs() -> None:
    lines = TWICE.lines()
    other = Recorder(NARROW if TWICE.told.book != NARROW else Recorder().book).told
    lines[1] = logged(other).rulebook()
    report = check(sealed(lines))
    assert codes(report) == ["rulebook_of_another_class"]
    assert report.faults[0].version == 1


def test_bytes_that_are_no_rule_book_are_told() -> None:
    lines = TWICE.lines()
    lines[1] = msgspec.structs.replace(TWICE.rulebook(), content=msgspec.Raw(b"[]"))
    assert codes(check(sealed(lines))) == ["rulebook_unreadable"]


def test_a_bundle_without_a_rule_book_derives_nothing() -> None:
    lines = TWICE.lines()
    del lines[1]
    report = check(sealed(lines))
    assert codes(report) == ["rulebook_missing"]
    assert report.results == ()


# --- events ---------------------------------------------------------------------------------------


def test_missing_events_are_told_in_one_breath() -> None:
    lines = TWICE.lines()
    del lines[5:8]
    says = [fault.says for fault in check(sealed(lines)).faults]
    assert says == ["Events 4 to 6 are missing of the class."]
    del lines[5]
    del lines[2]
    assert [fault.says for fault in check(sealed(lines)).faults] == [
        "Event 1 is missing of the class.",
        "Events 4 to 7 are missing of the class.",
    ]


def test_an_event_out_of_its_turn_is_told_alone() -> None:
    lines = TWICE.lines()
    lines.insert(9, lines.pop(4))
    report = check(sealed(lines))
    assert [(fault.code, fault.version, fault.line) for fault in report.faults] == [
        ("event_out_of_turn", 3, 10)
    ]
    assert report.faults[0].says == "Event 3 of the class is out of place at line 10."


def test_more_events_than_the_first_line_speaks_of_are_told() -> None:
    lines = TWICE.lines()
    lines[0] = msgspec.structs.replace(TWICE.head(), events=EVENTS - 1)
    report = check(sealed(lines))
    assert [(fault.code, fault.version) for fault in report.faults] == [("events_too_many", EVENTS)]


def test_an_event_of_another_stream_is_told_though_the_log_holds_it() -> None:
    lines = TWICE.lines()
    lines[0] = msgspec.structs.replace(TWICE.head(), stream="class-another")
    report = check(sealed(lines))
    assert set(codes(report)) == {"event_of_another_stream"}
    assert report.faults[0].says == (f"Line 3, where event 1 is expected, is an event of {STREAM}.")
    assert report.events == 0


def test_an_event_line_after_the_results_is_out_of_place() -> None:
    lines = TWICE.lines()
    lines.append(lines.pop(2))
    report = check(sealed(lines))
    assert ("line_misplaced", len(lines)) in [(f.code, f.line) for f in report.faults]
    assert ("event_missing", 1) in [(f.code, f.version) for f in report.faults]


def test_an_event_that_the_log_does_not_hold_is_told_with_its_position() -> None:
    lines = TWICE.lines()
    index = _index(lines, EventLine, 3)
    fourth, fifth = TWICE.event_lines()[3:5]
    lines[index] = msgspec.structs.replace(fourth, event=fifth.event)
    report = check(sealed(lines))
    assert [(f.code, f.line, f.version) for f in report.faults] == [
        ("event_not_in_log", index + 1, 4)
    ]
    assert report.faults[0].says.startswith(
        f"Line {index + 1}, where event 4 is expected, is not what the log holds at position "
        f"{fourth.position}: leaf "
    )


def test_a_line_that_proves_something_else_than_an_event_is_told() -> None:
    lines = TWICE.lines()
    index = _index(lines, EventLine, 3)
    lines[index] = msgspec.structs.replace(TWICE.event_lines()[3], event=msgspec.Raw(b"{}"))
    report = check(sealed(lines))
    assert [(f.code, f.line, f.version) for f in report.faults] == [
        ("event_unreadable", index + 1, 4)
    ]


def test_a_second_head_is_out_of_place() -> None:
    lines = TWICE.lines()
    assert codes(check(sealed([lines[0], *lines])))[0] == "line_misplaced"


def _relogged(told: Told, raws: list[bytes]) -> Logged:
    """A log that holds these bytes one after another, whatever they say."""
    events = tuple(CODEC.decode(raw, position) for position, raw in enumerate(raws, start=1))
    return logged(Told(told.book, tuple(raws), History(events)))


def test_a_log_in_which_a_class_runs_backwards_is_told() -> None:
    raws = list(TWICE.told.raws)
    raws[3], raws[4] = raws[4], raws[3]
    lines = _relogged(TWICE.told, raws).lines()
    first, second = _index(lines, EventLine, 3), _index(lines, EventLine, 4)
    lines[first], lines[second] = lines[second], lines[first]
    report = check(sealed([line for line in lines if not isinstance(line, ResultLine)]))
    assert codes(report)[0] == "positions_reversed"
    assert report.faults[0].version == 5


def test_a_class_that_does_not_begin_by_being_scheduled_is_told() -> None:
    pattern = TWICE.told.events[1]
    new = NewEvent(
        id=pattern.id,
        command=pattern.command,
        actor=pattern.actor,
        occurred_at=pattern.occurred_at,
        data=pattern.data,
    )
    raw = CODEC.encode(new, stream=STREAM, version=1).at(pattern.recorded_at)
    assert codes(check(_relogged(TWICE.told, [raw]).bundle())) == ["not_scheduled"]


def test_a_class_scheduled_again_under_another_book_is_told() -> None:
    first = TWICE.told.events[0]
    other = Recorder(NARROW if TWICE.told.book != NARROW else Recorder().book)
    other.planned()
    again = other.events[0]
    new = NewEvent(
        id="again",
        command="again",
        actor=first.actor,
        occurred_at=first.occurred_at,
        data=again.data,
    )
    raw = CODEC.encode(new, stream=STREAM, version=2).at(first.recorded_at)
    report = check(_relogged(TWICE.told, [TWICE.told.raws[0], raw]).bundle())
    assert [(f.code, f.version) for f in report.faults] == [("rulebook_of_another_class", 2)]


def test_a_bundle_of_no_events_is_not_sound() -> None:
    lines: list[AnyLine] = [
        msgspec.structs.replace(TWICE.head(), events=0),
        TWICE.rulebook(),
    ]
    assert codes(check(sealed(lines))) == ["not_scheduled"]


def test_a_bundle_that_begins_with_an_event_names_it() -> None:
    lines = TWICE.lines()
    lines[0], lines[2] = lines[2], lines[0]
    report = check(sealed(lines))
    assert ("head_missing", 1) in [(f.code, f.version) for f in report.faults]
    assert "The bundle does not begin with its first line, but with event 1." in [
        fault.says for fault in report.faults
    ]


@given(told=histories(), seed=st.integers(0, 2**32))
def test_no_log_however_dishonest_makes_the_check_fail_itself(told: Told, seed: int) -> None:
    """Events that could never have happened so, in a log that proves every one of them."""
    random = Random(seed)
    shuffled = [told.events[0], *random.sample(told.events[1:], len(told.events) - 1)]
    raws = []
    for version, event in enumerate(shuffled, start=1):
        new = NewEvent(
            id=event.id,
            command=event.command,
            actor=event.actor,
            occurred_at=event.occurred_at,
            data=event.data,
        )
        raws.append(CODEC.encode(new, stream=STREAM, version=version).at(event.recorded_at))
    log = _relogged(told, raws)
    assert check(log.bundle()).sound


# --- results --------------------------------------------------------------------------------------


def test_results_that_are_missing_or_too_many_are_counted() -> None:
    lines = TWICE.lines()
    report = check(sealed(lines[:-1]))
    assert codes(report) == ["results_missing"]
    assert report.faults[0].says == (
        "Results became official 2 times, and the bundle holds 1 revisions."
    )
    assert len(report.results) == 1
    assert codes(check(sealed([*lines, lines[-1]]))) == ["results_too_many"]


def test_another_place_in_signed_results_is_told_with_the_event_that_made_them_official() -> None:
    lines = TWICE.lines()
    index = _index(lines, ResultLine)
    result = TWICE.result_lines()[0]
    spoilt = bytes(result.document).replace(b'"place":1', b'"place":2')
    assert spoilt != bytes(result.document)
    lines[index] = msgspec.structs.replace(
        result, document=msgspec.Raw(spoilt), note=note(document_text(RESULT_KIND, spoilt))
    )
    report = check(sealed(lines))
    version = official_versions(TWICE.told.history)[0]
    assert [(f.code, f.line, f.version) for f in report.faults] == [
        ("result_differs", index + 1, version)
    ]
    assert [document.revision for document in report.results] == [2]


@pytest.mark.parametrize("root", [b'"AAAA"', b'"not base64"', b'"' + b"A" * 43 + b'="', b"1"])
def test_results_under_a_state_that_the_log_never_was_in_are_refused(root: bytes) -> None:
    lines = TWICE.lines()
    index = _index(lines, ResultLine)
    result = TWICE.result_lines()[0]
    before, _, after = bytes(result.document).partition(b'"root":')
    spoilt = before + b'"root":' + root + after[after.index(b",") :]
    lines[index] = msgspec.structs.replace(
        result, document=msgspec.Raw(spoilt), note=note(document_text(RESULT_KIND, spoilt))
    )
    found = codes(check(sealed(lines)))
    assert found in (["result_differs"], ["result_refused"])


def test_an_unsigned_revision_is_refused() -> None:
    lines: list[AnyLine] = [
        TWICE.head(),
        TWICE.rulebook(),
        *TWICE.event_lines(),
        *TWICE.result_lines(STRANGER),
    ]
    report = check(sealed(lines))
    assert codes(report) == ["result_refused"] * 2
    assert report.faults[0].says == (
        "Revision 1 is not good: none of the known keys has signed the note."
    )


def test_a_consistency_proof_that_nobody_asked_about_is_let_stand() -> None:
    lines = TWICE.lines()
    lines.insert(2, Consistency(first=3, path=("not base64",)))
    assert check(sealed(lines)).sound
    spoilt = check(sealed(lines), TWICE.checkpoint(3))
    assert codes(spoilt) == ["log_rewritten"]


def test_a_bundle_that_was_cut_before_its_last_newline_is_told() -> None:
    data = TWICE.bundle()
    assert codes(check(data[:-1])) == ["seal_missing"]
    body = b"".join(map(line_bytes, TWICE.lines()))
    assert codes(check(body)) == ["seal_missing"]
    assert check_bundle(sealed_bytes(body), KEYS).sound
