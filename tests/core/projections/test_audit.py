"""What deserves a look: each kind found where it is, and nothing in a clean story."""

from datetime import timedelta

import msgspec
import pytest
from hypothesis import given

from events.envelope import Actor, Command
from events.judged_class import commands as ask
from events.projections.audit import AuditLimits, Finding, Reading, audit
from tests.histories import histories
from tests.stories import OFFICE, REASON, STEWARD, Recorder, Told, entry, scribe

SECOND = timedelta(seconds=1)


def _found(story: Recorder, *readings: Reading) -> tuple[Finding, ...]:
    return audit(story.told.history, readings)


def _recorded(story: Recorder, command: Command, by: Actor) -> int:
    """Records the command and answers the version that the class has then."""
    story.record(command, by)
    return story.state.version


def _penalty(name: str = "n1") -> ask.CallPenalty:
    return ask.CallPenalty(seat="A", ref=entry(name), call=f"call-{name}", code="cone-tick")


def _clean() -> Recorder:
    """Two judges, three rides, a mark changed within its own ride, a penalty, official results."""
    story = Recorder().planned(seats="AB")
    for seat in "AB":
        story.ride("n1", first=2, seat=seat)
        story.mark("n1", 2, 1, seat)
        story.later(seconds=5).record(msgspec.structs.replace(_penalty(), seat=seat), scribe(seat))
        story.ride("n2", seat=seat).ride("n3", first=-2, seat=seat).signed(seat)
    return story.official()


def test_a_clean_story_has_no_findings() -> None:
    story = _clean()
    after = Reading(seat="A", key="scribe-A", at=story.now)
    assert _found(story, after) == ()


def test_a_mark_changed_after_a_later_ride_is_found_with_all_three_events() -> None:
    story = Recorder().planned()
    given = story.mark("n1", 2, 1)
    begun = story.mark("n2", 1, 0)
    story.mark("n2", 2, 0)
    changed = story.mark("n1", 2, 4)
    (finding,) = _found(story)
    assert finding.kind == "mark_changed_after_later_ride"
    assert (finding.seat, finding.entry) == ("A", "n1")
    assert finding.versions == (given, begun, changed)
    assert finding.says == (
        "Seat A changed the mark of maneuver 2 after it had begun to mark a later ride."
    )


def test_a_mark_taken_back_after_a_later_ride_is_found_too() -> None:
    story = Recorder().planned()
    given = story.mark("n1", 2, 1)
    begun = story.mark("n2", 1, 0)
    back = _recorded(story, ask.WithdrawMark(seat="A", ref=entry("n1"), maneuver=2), scribe("A"))
    (finding,) = _found(story)
    assert finding.kind == "mark_changed_after_later_ride"
    assert finding.versions == (given, begun, back)
    assert finding.says.startswith("Seat A took back the mark of maneuver 2")


def test_an_entry_that_was_brought_back_into_the_class_is_found_with_what_had_put_it_out() -> None:
    story = Recorder().planned()
    missed = _recorded(story, ask.RecordMissedGate(ref=entry("n1")), OFFICE)
    back = _recorded(story, ask.ReadmitEntry(ref=entry("n1"), reason=REASON), OFFICE)
    out = _recorded(story, ask.ScratchEntry(ref=entry("n2")), OFFICE)
    again = _recorded(story, ask.ReinstateEntry(ref=entry("n2"), reason=REASON), OFFICE)
    found = _found(story)
    assert [each.kind for each in found] == ["gate_decision_undone"] * 2
    assert [(each.entry, each.versions) for each in found] == [
        ("n1", (missed, back)),
        ("n2", (out, again)),
    ]


def test_a_mark_left_out_and_given_late_is_no_change() -> None:
    story = Recorder().planned()
    story.mark("n1", 1, 1)
    story.mark("n2", 1, 0)
    story.mark("n1", 2, 4)
    assert _found(story) == ()


def test_a_penalty_after_the_seats_key_had_read_totals_is_found() -> None:
    story = Recorder().planned().ride("n1")
    readings = [Reading(seat="A", key="scribe-A", at=story.now + n * SECOND) for n in (2, 1)]
    early = [*readings, Reading(seat="B", key="scribe-B", at=story.now)]
    story.later(seconds=60).record(_penalty(), scribe("A"))
    called = story.version
    story.record(ask.WithdrawPenalty(seat="A", ref=entry("n1"), call="call-n1"), scribe("A"))
    found = [each for each in _found(story, *early) if each.kind == "penalty_after_totals_read"]
    assert [(each.seat, each.entry, each.versions) for each in found] == [("A", "n1", (called,))]
    assert "the last time at 09:00:22 UTC" in found[0].says


def test_reading_results_before_signing_is_found_signed_or_not() -> None:
    story = Recorder().planned(entries=1).ride("n1")
    reading = Reading(seat="A", key="scribe-A", at=story.now)
    (unsigned,) = _found(story, reading)
    assert (unsigned.kind, unsigned.versions) == ("read_before_signing", ())
    assert unsigned.says == "The key of seat A read results before the card was signed, 1 time."
    story.signed()
    again = Reading(seat="A", key="scribe-A", at=story.now - SECOND)
    after = Reading(seat="A", key="scribe-A", at=story.now + SECOND)
    (signed,) = _found(story, reading, again, after)
    assert signed.versions == (story.version,)
    assert signed.says.endswith("2 times.")


@pytest.mark.parametrize(
    ("off", "says"),
    [
        (31, "up to 31 seconds ahead of"),
        (-901, "up to 15 minutes behind"),
        (-7_200, "up to 2 hours behind"),
        (-200_000, "up to 2 days behind"),
    ],
)
def test_a_device_clock_far_from_the_servers_is_found_once_with_all_it_wrote(
    off: int, says: str
) -> None:
    story = Recorder().planned(entries=1)
    first = story.version + 1
    for maneuver in (1, 2):
        mark = ask.GiveMark(seat="A", ref=entry("n1"), maneuver=maneuver, mark=0)
        story.later(seconds=5)
        story.record(mark, scribe("A"), occurred_at=story.now + off * SECOND)
    (finding,) = _found(story)
    assert (finding.kind, finding.seat) == ("device_clock_far_off", "A")
    assert finding.versions == (first, first + 1)
    assert f"The times of tablet-A lie {says} the server's" in finding.says


def test_a_clock_that_is_off_by_no_more_than_the_limits_is_not() -> None:
    story = Recorder().planned(entries=1)
    for maneuver, off in ((1, 30), (2, -900)):
        mark = ask.GiveMark(seat="A", ref=entry("n1"), maneuver=maneuver, mark=0)
        story.record(mark, scribe("A"), occurred_at=story.now + off * SECOND)
    assert _found(story) == ()
    stricter = AuditLimits(clock_ahead=timedelta(seconds=29))
    (finding,) = audit(story.told.history, (), stricter)
    assert finding.kind == "device_clock_far_off"


def test_a_key_without_a_device_is_named_by_itself() -> None:
    story = Recorder()
    story.planned(entries=1)
    call = ask.CallEntry(ref=entry("n1"), call=1)
    story.record(call, OFFICE, occurred_at=story.now + timedelta(hours=1))
    (finding,) = _found(story)
    assert finding.says.startswith("The times of office lie")


SEEN = ask.ObserveFault(seat="A", ref=entry("n1"), observation="o", code="eyes-down")
CORRECTION = ask.MakeCorrection(
    correction="c1",
    seat="A",
    ref=entry("n1"),
    authority="office_error",
    reason=REASON,
    fact=SEEN,
)


def test_a_correction_without_a_protest_is_found_with_its_authority() -> None:
    story = Recorder().planned(entries=1).ride("n1").signed()
    story.record(CORRECTION, STEWARD)
    (finding,) = _found(story)
    assert (finding.kind, finding.versions) == ("correction_without_protest", (story.version,))
    assert (finding.seat, finding.entry) == ("A", "n1")
    assert finding.says.endswith("on the authority of: office error.")


def test_a_correction_that_replaces_a_fact_names_it_too() -> None:
    story = Recorder().planned(entries=1).ride("n1").signed()
    fact = ask.GiveMark(seat="A", ref=entry("n1"), maneuver=1, mark=5)
    story.record(msgspec.structs.replace(CORRECTION, replaces=6, fact=fact), STEWARD)
    (finding,) = _found(story)
    assert finding.versions == (6, story.version)


def test_a_correction_under_its_protest_is_as_it_should_be() -> None:
    story = Recorder().planned(entries=1).ride("n1").signed()
    filed = ask.FileProtest(protest="p", filed_by="p1", ground="arithmetic", statement=REASON)
    story.record(filed, OFFICE)
    story.record(ask.RuleProtest(protest="p", verdict="upheld", reason=REASON), STEWARD)
    story.record(msgspec.structs.replace(CORRECTION, authority="ruling", protest="p"), STEWARD)
    assert _found(story) == ()


def test_one_device_writing_for_two_seats_is_found() -> None:
    story = Recorder().planned(seats="AB")
    first = story.mark("n1", 1, 0, "A")
    borrowed = Actor(key="scribe-B", role="scribe", seat="B", device="tablet-A")
    mark = ask.GiveMark(seat="B", ref=entry("n1"), maneuver=1, mark=0)
    story.later(seconds=5).record(mark, borrowed)
    (finding,) = _found(story)
    assert finding.kind == "device_wrote_for_two_seats"
    assert finding.says == "Device tablet-A wrote for the seats A, B."
    assert finding.versions == (first, story.version)


def test_marks_entered_faster_than_anybody_rides_are_found() -> None:
    story = Recorder().planned(entries=1)
    first = story.version + 1
    for maneuver, mark in ((1, 0), (2, 0), (3, 0), (1, 1)):
        command = ask.GiveMark(seat="A", ref=entry("n1"), maneuver=maneuver, mark=mark)
        story.later(milliseconds=400).record(command, scribe("A"))
    (finding,) = _found(story)
    assert (finding.kind, finding.entry) == ("marks_implausibly_fast", "n1")
    assert finding.versions == tuple(range(first, first + 4))
    assert finding.says == "Seat A entered 4 marks of one ride within 1.2 seconds."


def test_marks_that_the_office_enters_from_paper_may_be_fast() -> None:
    story = Recorder().planned(entries=1)
    for maneuver, mark in ((1, 0), (2, 0), (3, 0), (1, 1)):
        command = ask.GiveMark(seat="A", ref=entry("n1"), maneuver=maneuver, mark=mark)
        story.record(command, OFFICE)
    assert _found(story) == ()


@given(told=histories())
def test_findings_stand_in_the_order_of_the_events_behind_them(told: Told) -> None:
    readings = [Reading(seat=s, key=s, at=told.events[0].recorded_at) for s in ("A", "B")]
    found = audit(told.history, readings)
    firsts = [finding.versions[:1] for finding in found]
    assert firsts == sorted(firsts)
    for finding in found:
        assert all(1 <= version <= told.history.version for version in finding.versions)
        assert finding.says.endswith(".")


def test_a_working_order_set_over_another_without_a_reason_is_found_with_both() -> None:
    story = Recorder().planned()
    first = story.state.version
    again = _recorded(story, ask.SetDraw(order=("n3", "n1", "n2")), OFFICE)
    (finding,) = _found(story)
    assert finding.kind == "drawn_anew"
    assert (finding.seat, finding.entry) == (None, None)
    assert finding.versions == (first, again)


def test_a_draw_that_was_repaired_for_a_reason_or_took_a_late_entry_is_none() -> None:
    story = Recorder().planned()
    story.record(ask.RepairDraw(order=("n2", "n1", "n3"), reason=REASON), OFFICE)
    late = ask.AcceptEntry(entry="n4", back_number=4, exhibitor="p4", late=True)
    story.record(late, OFFICE)
    story.record(ask.SetDraw(order=("n4", "n2", "n1", "n3")), OFFICE)
    assert _found(story) == ()


def test_a_judge_who_is_entered_in_the_class_is_found_with_the_entry() -> None:
    story = Recorder().planned(seats="AB")
    seated = 4
    accept = ask.AcceptEntry(entry="n9", back_number=9, exhibitor="judge-B")
    entered = _recorded(story, accept, OFFICE)
    (finding,) = _found(story)
    assert finding.kind == "judge_exhibits"
    assert (finding.seat, finding.entry, finding.versions) == ("B", "n9", (seated, entered))
    assert finding.says == "A judge of seat B was entered in the class as an exhibitor."


def test_a_judge_who_gave_the_seat_up_or_only_learns_exhibits_freely() -> None:
    story = Recorder().planned(seats="ABC")
    for seat in "BC":
        accept = ask.AcceptEntry(
            entry=f"n-{seat}", back_number=ord(seat), exhibitor=f"judge-{seat}"
        )
        story.record(accept, OFFICE)
    story.record(ask.SeatJudge(seat="B", judge="judge-D"), OFFICE)
    story.record(ask.UnseatJudge(seat="C", reason=REASON), OFFICE)
    story.record(ask.SeatJudge(seat="L", judge="p1", kind="learner"), OFFICE)
    assert _found(story) == ()


def test_who_took_a_seat_over_judges_the_class_as_whoever_had_it_did() -> None:
    story = Recorder().planned(seats="A")
    story.mark("n1", 1, 0)
    for exhibitor in ("judge-A", "judge-B"):
        accept = ask.AcceptEntry(
            entry=f"n-{exhibitor}", back_number=ord(exhibitor[-1]), exhibitor=exhibitor, late=True
        )
        story.record(accept, OFFICE)
    story.record(ask.ReplaceJudge(seat="A", judge="judge-B", reason=REASON), STEWARD)
    found = _found(story)
    exhibits = [each.entry for each in found if each.kind == "judge_exhibits"]
    assert sorted(map(str, exhibits)) == ["n-judge-A", "n-judge-B"]


@pytest.mark.parametrize(
    ("about", "beyond"), [({"ref": entry("n1")}, True), ({"seat": "B"}, True), ({}, False)]
)
def test_a_ruling_carried_out_beyond_its_protest_is_found(
    about: dict[str, object], beyond: bool
) -> None:
    story = _clean()
    protest = ask.FileProtest(
        protest="t1", filed_by="p1", ground="arithmetic", statement=REASON, fee_paid=True
    )
    story.record(ask.ReopenResults(authority="office_error", reason=REASON), STEWARD)
    story.now -= timedelta(minutes=30)
    story.record(msgspec.structs.replace(protest, **about), OFFICE)
    story.record(ask.RuleProtest(protest="t1", verdict="upheld", reason=REASON), STEWARD)
    replaced = story.state.cards["A"].rides["n2"].marks[1].version
    correction = ask.MakeCorrection(
        correction="c1",
        seat="A",
        ref=entry("n2"),
        authority="ruling",
        reason=REASON,
        replaces=replaced,
        fact=ask.GiveMark(seat="A", ref=entry("n2"), maneuver=1, mark=-1),
        protest="t1",
    )
    made = _recorded(story, correction, STEWARD)
    found = [each for each in _found(story) if each.kind == "ruling_beyond_protest"]
    assert [(each.seat, each.entry, each.versions) for each in found] == (
        [("A", "n2", (made,))] if beyond else []
    )


def test_a_card_that_two_judges_filled_is_found() -> None:
    story = Recorder().planned()
    change = ask.ReplaceJudge(seat="A", judge="judge-X", reason=REASON)
    made = _recorded(story, change, STEWARD)
    (finding,) = _found(story)
    assert (finding.kind, finding.seat) == ("card_by_two_judges", "A")
    assert finding.versions == (made,)
