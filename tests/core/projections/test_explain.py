"""Every term of a total and every step that gave a place."""

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.projections.explain import Explanation, as_text, explain
from events.projections.placing import placing
from events.refusals import Refusal
from events.rulebook.model import OutcomeKind, RuleBook
from tests.histories import CAPPED, CROSSING, NARROW, histories, many
from tests.stories import OFFICE, WESTERN, Recorder, Told, entry, scribe


def _all(told: Told, version: int) -> list[tuple[Explanation, object]]:
    """The explanation of every running entry of every seat, with the row that it explains."""
    return [
        (explain(told.history, version, told.book, seat=seat.seat, entry=row.entry), row)
        for seat in placing(told.history.at_version(version), told.book).seats
        for row in seat.rows
    ]


def _check(told: Told, version: int) -> None:
    for found, row in _all(told, version):
        assert (found.total, found.place, found.tied) == (
            row.total,  # type: ignore[attr-defined]
            row.place,  # type: ignore[attr-defined]
            row.tied,  # type: ignore[attr-defined]
        )
        if found.total is not None:
            assert sum(term.points for term in found.terms) == found.total
        if found.steps:
            assert (found.steps[-1].place, found.steps[-1].tied) == (found.place, found.tied)
        assert (found.place is None) == (not found.steps)
        for term in found.terms:
            assert term.witness is None or term.witness.version <= version
        assert all(as_text(found))


@given(told=histories(), data=st.data())
def test_terms_add_up_to_the_total_and_the_last_step_is_the_place(
    told: Told, data: st.DataObject
) -> None:
    _check(told, data.draw(st.integers(0, told.history.version)))


def test_so_they_do_at_every_fifth_version_of_sixty_long_stories() -> None:
    for told in many(60, seed=7):
        for version in range(told.history.version, 0, -5):
            _check(told, version)


@given(told=histories())
def test_each_term_is_what_its_event_gave(told: Told) -> None:
    for found, _ in _all(told, told.history.version):
        for term in found.terms:
            if term.witness is None:
                assert term.kind in {"base", "bound"}
                continue
            data = told.events[term.witness.version - 1].data
            fact = data.fact if isinstance(data, happened.CorrectionMade) else data
            match term.kind:
                case "mark" | "rider_mark":
                    assert term.points == getattr(fact, "mark", None)
                case "penalty":
                    assert term.points == -getattr(fact, "points", 0)
                case "carried":
                    assert term.points == getattr(fact, "carried", None)
                case _:
                    assert isinstance(fact, happened.OutcomeCalled)


def test_a_place_is_explained_within_its_section() -> None:
    story = Recorder().planned(entries=3)
    story.record(ask.SetDraw(order=("n1", "n2", "n3"), sections=(1, 2)), OFFICE)
    story.ride("n1", first=3).ride("n2", first=1).ride("n3", first=2)
    found = explain(story.told.history, story.version, story.book, seat="A", entry="n2")
    assert (found.section, found.place, [step.place for step in found.steps]) == (2, 2, [2])
    assert as_text(found)[0] == (
        f"Back number 114, card of seat A, event {story.version}: place 2 in section 2."
    )


def test_a_ride_is_explained_in_lines_for_its_rider() -> None:
    story = Recorder().planned(entries=2).ride("n1", first=3, rider=4)
    call = ask.CallPenalty(seat="A", ref=entry("n1"), call="x", code="cone-tick", maneuver=2)
    story.later(seconds=5).record(call, scribe("A"))
    story.ride("n2", first=-2).signed()
    found = explain(story.told.history, story.version, WESTERN, seat="A", entry="n1")
    assert as_text(found) == (
        "Back number 107, card of seat A, event 16: place 1.",
        "      70  Base of the scale",
        "    +1.5  Maneuver 1, Walk to the marker: good" + _by(7, "09:00:05"),
        "       0  Maneuver 2, Stop: correct" + _by(8, "09:00:10"),
        "       0  Maneuver 3, Lope a circle: correct" + _by(9, "09:00:15"),
        "      +2  Form and effectiveness" + _by(10, "09:00:20"),
        "      -3  Penalty at maneuver 2: Tick or hit of a cone" + _by(11, "09:00:25"),
        "    70.5  Total",
        "By total 70.5: place 1.",
    )


def _by(version: int, time: str) -> str:
    return (
        f" [event {version}: scribe, key scribe-A, device tablet-A; "
        f"occurred 2026-06-06 {time}, recorded 2026-06-06 {time} UTC]"
    )


def test_a_penalty_called_by_its_size_anywhere_in_the_ride_says_so() -> None:
    story = Recorder().planned(entries=1).ride("n1")
    call = ask.CallPenalty(seat="A", ref=entry("n1"), call="x", points=10)
    story.record(call, scribe("A"))
    found = explain(story.told.history, story.version, WESTERN, seat="A", entry="n1")
    assert found.terms[-1].says == "Penalty, called by its size"


def test_what_is_missing_is_named_and_leaves_no_total_and_no_place() -> None:
    story = Recorder().planned(entries=1)
    story.mark("n1", 2, 1)
    found = explain(story.told.history, story.version, WESTERN, seat="A", entry="n1")
    assert (found.total, found.place, found.steps) == (None, None, ())
    assert as_text(found)[0] == "Back number 107, card of seat A, event 6: no place."
    assert as_text(found)[-1] == "Still missing: maneuver 1, maneuver 3, the rider mark."


def _with_outcome(book: RuleBook, kind: OutcomeKind) -> Explanation:
    story = Recorder(book).planned(entries=2).ride("n1", first=4).ride("n2")
    call = ask.CallOutcome(seat="A", ref=entry("n1"), kind=kind)
    story.record(call, scribe("A"))
    return explain(story.told.history, story.version, book, seat="A", entry="n1")


def test_a_run_off_pattern_keeps_its_total_and_stands_below_every_complete_run() -> None:
    found = _with_outcome(WESTERN, "off_pattern")
    assert (found.total, found.place) == (144, 2)
    assert found.steps[0].says == "By total 72, below every complete run: place 2"
    assert as_text(found)[-2].startswith("Outcome: Cone knocked over or passed")


def test_a_zero_is_a_term_of_its_own_with_the_call_behind_it() -> None:
    found = _with_outcome(CROSSING, "zero")
    assert found.total == 0
    assert (found.terms[-1].kind, found.terms[-1].points) == ("outcome", -144)
    assert found.terms[-1].witness == found.outcome_witness


def test_a_disqualified_ride_has_no_total_and_no_place() -> None:
    found = _with_outcome(WESTERN, "disqualified")
    assert (found.total, found.place, found.steps) == (None, None, ())


def test_a_run_off_pattern_at_the_scales_floor_is_explained_by_the_floor() -> None:
    story = Recorder(NARROW).planned(entries=1).ride("n1")
    record = (
        ask.CallPenalty(seat="A", ref=entry("n1"), call="x", code="rein-lost"),
        ask.CallOutcome(seat="A", ref=entry("n1"), kind="off_pattern"),
    )
    for command in record:
        story.record(command, scribe("A"))
    found = explain(story.told.history, story.version, NARROW, seat="A", entry="n1")
    assert found.total == 0
    assert (found.terms[-1].kind, found.terms[-1].points) == ("bound", 10)
    assert found.terms[-1].says == "Lowest total of the scale is 0"


def test_the_scales_ceiling_is_a_term_too() -> None:
    story = Recorder(CAPPED).planned(entries=1).ride("n1", first=6)
    found = explain(story.told.history, story.version, CAPPED, seat="A", entry="n1")
    assert (found.total, found.terms[-1].points) == (142, -5)
    assert found.terms[-1].says == "Highest total of the scale is 71"


def test_rail_work_is_a_step_with_the_order_behind_it() -> None:
    story = Recorder().planned(entries=2).ride("n1", first=4).ride("n2", first=2)
    order = ask.SetOrder(seat="A", order_id="rail", order=(entry("n2"), entry("n1")))
    story.later(seconds=5).record(order, scribe("A"))
    found = explain(story.told.history, story.version, WESTERN, seat="A", entry="n1")
    assert [(step.step, step.place) for step in found.steps] == [("total", 1), ("rail_adjusted", 2)]
    assert [witness.version for witness in found.steps[1].witnesses] == [story.version]
    assert as_text(found)[-1].startswith("After rail work: place 2. [event 15: scribe,")


def test_a_tie_is_shown_as_shared_until_a_step_parts_it() -> None:
    story = Recorder(NARROW).planned(entries=2).ride("n1", rider=1).ride("n2", first=1)
    history = story.told.history
    found = explain(history, story.version, NARROW, seat="A", entry="n1")
    assert [step.says for step in found.steps] == [
        "By total 5.5: place 1, shared",
        "After rider mark: place 1",
    ]


def test_a_confirmed_order_names_its_confirmation_as_well() -> None:
    story = Recorder().planned(entries=2).ride("n1", first=4).ride("n2", first=2)
    order = ask.SetOrder(seat="A", order_id="rail", order=(entry("n2"), entry("n1")))
    story.record(order, scribe("A"))
    placed = story.version
    story.mark("n1", 2, 1)
    story.record(ask.ConfirmOrder(seat="A", order_id="rail"), scribe("A"))
    found = explain(story.told.history, story.version, WESTERN, seat="A", entry="n2")
    assert [w.version for w in found.steps[-1].witnesses] == [placed, story.version]


def test_a_seat_or_an_entry_that_is_not_there_is_refused() -> None:
    story = Recorder().planned(entries=2)
    story.record(ask.ScratchEntry(ref=entry("n2")), OFFICE)
    history = story.told.history
    for seat, name, code, field in (
        ("Z", "n1", "unknown_seat", "seat"),
        ("A", "n9", "unknown_entry", "entry"),
        ("A", "n2", "entry_scratched", "entry"),
    ):
        with pytest.raises(Refusal) as refused:
            explain(history, story.version, WESTERN, seat=seat, entry=name)
        assert (refused.value.code, refused.value.field) == (code, field)


def test_a_mark_below_every_word_of_the_book_is_called_marked() -> None:
    mark = msgspec.structs.replace(WESTERN.scale.mark, words=())
    book = msgspec.structs.replace(WESTERN, scale=msgspec.structs.replace(WESTERN.scale, mark=mark))
    story = Recorder(book).planned(entries=1).ride("n1")
    found = explain(story.told.history, story.version, book, seat="A", entry="n1")
    assert found.terms[1].says == "Maneuver 1, Walk to the marker: marked"


def test_a_carried_total_is_explained_by_the_event_that_last_gave_it() -> None:
    story = Recorder().planned(entries=1).ride("n1", first=1)
    story.record(ask.SetCarriedTotal(ref=entry("n1"), carried=140), OFFICE)
    given = story.version
    found = explain(story.told.history, given, story.book, seat="A", entry="n1")
    [term] = [term for term in found.terms if term.kind == "carried"]
    assert term.witness is not None
    assert (term.points, term.witness.version) == (140, given)
