"""All five days: every kind of class, and everything that can happen in one, is there."""

from collections import Counter
from collections.abc import Iterator
from typing import get_args

import pytest

from events.envelope import RecordedEvent, stream_of
from events.judged_class import events as happened
from events.judged_class.draw import drawn_by_lot
from events.rulebook.model import OutcomeKind, PanelMethod
from events.season.events import SeasonEvent
from events.show.events import ShowEvent
from service.books import shipped
from service.demo.programme import Planned
from service.store import verify
from tests.demo.conftest import Held, Played


@pytest.fixture(scope="module")
def log(whole: Played) -> tuple[RecordedEvent, ...]:
    """All of its events."""
    return whole.desk.log.feed(0, 1_000_000)


def held(whole: Played, kind: str) -> Iterator[Held]:
    """The classes of a kind."""
    for name, each in whole.classes.items():
        if name.rpartition("-")[0] == kind:
            yield each


def test_of_two_hundred_classes_all_are_official_but_one_that_another_took_in(
    whole: Played,
) -> None:
    phases = Counter(each.placing.phase for each in whole.classes.values())
    assert phases == {"official": 199, "cancelled": 1}
    days = Counter(each.story.begins.date() for each in whole.classes.values())
    assert list(days.values()) == [40] * 5
    rings = {each.story.ring for each in whole.classes.values()}
    assert rings == set(whole.show.rings)


def test_a_class_that_took_another_in_places_each_as_a_division(whole: Played) -> None:
    took, given = held(whole, "ranch-small")
    assert [(of.name, of.class_size) for of in took.placing.divisions] == [
        ("own", 3),
        ("taken-in", 3),
    ]
    assert given.placing.phase == "cancelled"


def test_a_panel_goes_on_without_the_judge_of_a_closed_seat(whole: Played) -> None:
    five, four = (
        sum(seat.kind == "judge" and seat.signed for seat in each.placing.seats)
        for each in held(whole, "drop")
    )
    assert (five, four) == (5, 4)


def test_every_shipped_rule_book_is_used_and_one_of_the_shows_own(whole: Played) -> None:
    books = {each.book.id for each in whole.classes.values()}
    assert books == {*shipped(), "quillmere-obstacle-points"}
    judging = {each.book.judging for each in whole.classes.values()}
    assert judging == {"scored", "placed", "timed"}


def test_everything_that_can_happen_in_a_class_happens(log: tuple[RecordedEvent, ...]) -> None:
    there = {type(each.data) for each in log}
    missing = {each.__name__ for each in get_args(happened.ClassEvent) if each not in there}
    assert missing == set(), "let it happen in service/demo/quillmere/programme.toml"


def test_every_method_of_a_panel_comes_to_a_placing(whole: Played) -> None:
    placed = {
        each.placing.panel.method for each in whole.classes.values() if each.placing.panel.rows
    }
    assert placed | {"separate"} == set(get_args(PanelMethod))
    assert any(len(each.placing.seats) > 1 for each in held(whole, "two-judges"))
    choices = [each.story.panel for each in whole.classes.values() if each.story.panel]
    assert any(choice.call_judges for choice in choices)
    assert any(choice.tie_judge for choice in choices)


def test_the_tie_judge_parts_what_the_sum_left_equal(whole: Played) -> None:
    [tied] = held(whole, "tie-judge")
    first, second, *_ = tied.placing.panel.rows
    assert first.figure == second.figure
    assert (first.place, second.place, first.tied) == (1, 2, False)


def test_one_title_is_shared_by_those_who_declined_and_one_is_ridden_off(whole: Played) -> None:
    declined, ridden = held(whole, "champions")
    assert [row.place for row in declined.placing.panel.rows[:2]] == [1, 1]
    assert [row.place for row in ridden.placing.panel.rows[:2]] == [1, 2]
    assert ridden.placing.panel.rows[0].figure == ridden.placing.panel.rows[1].figure


def test_cuts_take_those_tied_at_them_along_or_leave_them_all_out(whole: Played) -> None:
    cuts = [
        each.data
        for held in whole.classes.values()
        for each in held.of(happened.CutMade)
        if isinstance(each.data, happened.CutMade)
    ]
    assert any(len(cut.qualified) > cut.size for cut in cuts)
    assert any(cut.tied_out for cut in cuts)


def test_one_final_carries_totals_and_others_begin_afresh(whole: Played) -> None:
    carried, fresh = next(held(whole, "reining-final")), next(held(whole, "ranch-final"))
    entries = [e for held in (carried, fresh) for e in held.of(happened.EntryAccepted)]
    totals = [e.data.carried for e in entries if isinstance(e.data, happened.EntryAccepted)]
    count = len(carried.of(happened.EntryAccepted))
    assert all(each is not None for each in totals[:count])
    assert totals[count:] == [None] * len(totals[count:])


def test_a_correction_in_a_go_round_reaches_the_total_carried_into_the_final(whole: Played) -> None:
    [final] = held(whole, "reining-final")
    [moved] = final.of(happened.CarriedTotalSet)
    assert isinstance(moved.data, happened.CarriedTotalSet)
    [before] = held(whole, "reining-go")
    totals = {row.entry: row.total for row in before.placing.seats[0].rows}
    assert totals[moved.data.entry] == moved.data.carried
    assert before.placing.revision == 2


def test_a_large_class_is_placed_in_sections(whole: Played) -> None:
    [split] = held(whole, "trail-sections")
    assert [of.class_size for of in split.placing.sections] == [6, 6]
    assert [of.seats[0].rows[0].place for of in split.placing.sections] == [1, 1]


def test_one_ride_counts_in_several_divisions(whole: Played) -> None:
    for each in (*held(whole, "all-levels"), *held(whole, "trail-all")):
        divisions = each.placing.divisions
        assert len(divisions) == len(set(each.story.divisions.values()))
        assert sum(len(of.seats[0].rows) for of in divisions) == 8


def test_entries_in_divisions_were_held_against_what_the_registry_knows(whole: Played) -> None:
    show = whole.desk.shows.latest(stream_of("show", whole.show.id)).state
    assert set(show.divisions) == set(whole.show.divisions)
    assert len(show.evidence) == 1
    for each in held(whole, "all-levels"):
        state = each.history.at_version(each.history.version)
        for entry in state.entries.values():
            assert entry.divisions == (whole.show.level(entry.back_number),)
        accepted = [made.data for made in each.of(happened.EntryAccepted)]
        assert all(made.checked_at for made in accepted if isinstance(made, happened.EntryAccepted))


def test_learners_are_scored_by_cuts(whole: Played) -> None:
    for each in (*held(whole, "seminar"), *held(whole, "seminar-trail")):
        learners = [seat for seat in each.placing.seats if seat.kind == "learner"]
        assert len(learners) == len(each.story.learners)
        assert each.history.at_version(each.history.version).contest_cuts == (3, 5, 2)


def test_places_are_shared_and_outcomes_are_of_every_kind(whole: Played) -> None:
    rows = [row for each in whole.classes.values() for s in each.placing.seats for row in s.rows]
    assert any(row.tied for row in rows)
    assert {row.outcome for row in rows} - {None} == set(get_args(OutcomeKind))


def test_protests_are_denied_withdrawn_and_upheld(log: tuple[RecordedEvent, ...]) -> None:
    ruled = [each.data for each in log if isinstance(each.data, happened.ProtestRuled)]
    verdicts = {each.verdict for each in ruled}
    assert verdicts == {"denied", "upheld"}
    assert any(isinstance(each.data, happened.ProtestWithdrawn) for each in log)


def test_cards_are_corrected_before_and_after_results_are_official(whole: Played) -> None:
    phases = {
        each.history.at_version(made.version - 1).phase
        for each in whole.classes.values()
        for made in each.of(happened.CorrectionMade)
    }
    assert phases == {"running", "posted", "reopened"}


def test_every_draw_can_be_drawn_again_from_its_seed(whole: Played) -> None:
    for each in whole.classes.values():
        for drawn in each.of(happened.DrawSet):
            assert isinstance(drawn.data, happened.DrawSet)
            before = each.history.at_version(drawn.version - 1)
            assert drawn.data.order == drawn_by_lot(before, each.story.seed)


def test_a_draw_is_repaired_where_a_rider_has_two_horses(whole: Played) -> None:
    assert any(each.of(happened.DrawRepaired) for each in held(whole, "reining"))


def test_nobody_is_entered_in_two_rings_at_once(
    whole: Played, programme: tuple[Planned, ...]
) -> None:
    begins = Counter(
        (each.story.begins, whole.show.rider(number))
        for each in programme
        for number in each.story.entries
        if not each.story.apart
    )
    assert begins.most_common(1)[0][1] == 1


def test_the_log_holds_together_and_says_what_a_show_and_a_season_say(
    whole: Played, log: tuple[RecordedEvent, ...]
) -> None:
    report = verify.verify(whole.desk.log)
    assert report.findings == ()
    assert report.streams == 2 + len(whole.classes)
    there = {type(each.data) for each in log}
    assert there & set(get_args(ShowEvent))
    assert there & set(get_args(SeasonEvent))


def test_what_it_prints_is_what_it_holds(whole: Played, log: tuple[RecordedEvent, ...]) -> None:
    said = " ".join(whole.printed.split())
    assert "199 of 200 classes are official, and 1 was combined with another" in said
    assert f"is one of {len(log):,} events" in said
    cuts = sum(isinstance(each.data, happened.CutMade) for each in log)
    assert f" {cuts} cuts, " in said
    assert len(whole.printed.splitlines()) <= 100
