"""Wrong decisions at the gate, and wrong scratches, undone."""

import msgspec
import pytest

from events.envelope import Command
from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.projections.placing import placing
from tests.core.books import PLACED, shipped
from tests.core.judged_class.scene import (
    NOON,
    OFFICE,
    STEWARD,
    Scene,
    accept,
    correction,
    entry,
    mark,
    ridden,
    rider,
)

E1 = entry("e1")
BACK = ask.ReadmitEntry(ref=E1, reason="sha256:called-another-number")
MISSED = ask.RecordMissedGate(ref=E1)
EXCUSED = ask.ExcuseEntry(ref=E1)
SCRATCHED = ask.ScratchEntry(ref=E1)
ON_AGAIN = ask.ReinstateEntry(ref=E1, reason="sha256:wrong-rider-scratched")


def comparable(scene: Scene) -> dict[str, object]:
    """The state without what says when: versions, and where the entry was meanwhile."""
    state = msgspec.structs.asdict(scene.state) | {"version": 0, "changed_at": 0}
    entries = {
        name: msgspec.structs.replace(each, away=()) for name, each in scene.state.entries.items()
    }
    return state | {"entries": entries}


@pytest.mark.parametrize("out", [MISSED, EXCUSED])
def test_an_entry_wrongly_turned_away_stands_exactly_as_before(out: Command) -> None:
    scene = Scene().planned().given(ask.CallEntry(ref=E1, call=1))
    before = comparable(scene)
    scene.given(out, BACK, by=STEWARD)
    assert scene.log[-1] == happened.EntryReadmitted(
        entry="e1", reason="sha256:called-another-number"
    )
    assert comparable(scene) == before


def test_an_entry_excused_in_the_middle_of_its_ride_has_all_its_marks_again() -> None:
    scene = ridden(e1=2, e2=0)
    before = comparable(scene)
    scene.given(EXCUSED)
    assert scene.placed()["e1"] == "-"
    scene.given(BACK)
    assert comparable(scene) == before
    assert scene.placed() == {"e1": "1", "e2": "2"}


def test_an_entry_that_is_in_the_class_need_not_be_readmitted() -> None:
    assert Scene().planned().when(BACK) == ()
    assert Scene().planned().when(ON_AGAIN) == ()


def test_an_excused_entry_that_was_scratched_as_well_is_reinstated_first() -> None:
    scene = Scene().planned().given(EXCUSED, SCRATCHED)
    scene.refuses(BACK, "entry_scratched", "entry")
    scene.given(ON_AGAIN, BACK)
    assert scene.state.entries["e1"].gate is None


def test_once_results_were_posted_somebody_stands_behind_a_readmission() -> None:
    scene = ridden(e1=2, e2=0).given(EXCUSED).posted()
    scene.refuses(BACK, "authority_missing", "authority")
    scene.given(msgspec.structs.replace(BACK, authority="judge"))
    scene.given(ask.PostResults())
    assert scene.placed() == {"e1": "1", "e2": "2"}


def test_official_results_are_reopened_before_an_entry_is_readmitted() -> None:
    erred = msgspec.structs.replace(BACK, authority="office_error")
    scene = ridden(e1=2, e2=0).given(EXCUSED).official()
    scene.refuses(erred, "wrong_phase", None)
    scene.given(ask.ReopenResults(authority="office_error", reason="sha256:x"))
    scene.refuses(BACK, "authority_missing", "authority")
    low = msgspec.structs.replace(BACK, authority="judge")
    scene.refuses(low, "authority_too_low", "authority")
    ruled = msgspec.structs.replace(BACK, authority="ruling", protest="t1")
    scene.refuses(ruled, "unknown_protest", "protest", by=STEWARD)
    scene.given(erred)
    scene.given(ask.PostResults(), ask.MakeOfficial(reason="sha256:seen"))
    assert scene.placed() == {"e1": "1", "e2": "2"}


def test_one_readmitted_after_posting_gets_its_marks_by_corrections() -> None:
    scene = Scene().planned(2).marked({"e2": 0}).given(MISSED).posted()
    scene.given(msgspec.structs.replace(BACK, authority="office_error"))
    scene.refuses(ask.PostResults(), "card_incomplete", None)
    for number, fact in enumerate((mark("A", "e1", 1, 4), mark("A", "e1", 2, 0))):
        scene.given(correction(f"c{number}", fact))
    scene.given(correction("c9", rider("A", "e1", 0)), ask.PostResults())
    assert scene.placed() == {"e1": "1", "e2": "2"}


def test_who_was_out_when_the_judge_placed_the_class_was_not_left_out_of_the_placing() -> None:
    others = ask.PlaceCard(seat="A", order=(entry("e2"), entry("e3")))
    scene = Scene(PLACED).planned().given(MISSED, others, BACK)
    scene.refuses(ask.SignCard(seat="A"), "card_incomplete", "seat")
    everybody = ask.PlaceCard(seat="A", order=(E1, entry("e2"), entry("e3")))
    scene.given(everybody, ask.SignCard(seat="A"))
    assert scene.placed() == {"e1": "1", "e2": "2", "e3": "3"}


def test_who_was_left_out_of_the_placing_before_it_was_turned_away_is_so_again() -> None:
    others = ask.PlaceCard(seat="A", order=(entry("e2"), entry("e3")))
    scene = Scene(PLACED).planned().given(others, EXCUSED, BACK, ask.SignCard(seat="A"))
    assert scene.placed() == {"e1": "-", "e2": "1", "e3": "2"}


def test_a_scratch_is_undone_and_the_entry_counts_in_the_class_size_again() -> None:
    scene = Scene().planned()
    before = comparable(scene)
    scene.given(SCRATCHED)
    assert placing(scene.state, scene.book).class_size == 2
    scene.given(ON_AGAIN)
    assert scene.log[-1] == happened.EntryReinstated(
        entry="e1", reason="sha256:wrong-rider-scratched"
    )
    assert comparable(scene) == before
    assert placing(scene.state, scene.book).class_size == 3


def test_a_scratched_entry_whose_number_went_to_another_stays_out() -> None:
    again = msgspec.structs.replace(accept(1), entry="e9")
    scene = Scene().planned().given(SCRATCHED, again)
    refused = scene.refusal(ON_AGAIN)
    assert (refused.code, refused.field) == ("back_number_taken", "entry")
    assert refused.facts["entry"] == "e9"


def test_a_wrong_scratch_is_undone_until_results_are_posted() -> None:
    scene = Scene().planned(2).given(SCRATCHED).marked({"e2": 0})
    assert scene.when(ON_AGAIN) != ()
    scene.posted().refuses(ON_AGAIN, "wrong_phase", None)


def test_what_undoes_nothing_that_stands_only_counts_a_version() -> None:
    state = Scene().planned().state
    for undone in (
        happened.EntryReadmitted(entry="e1", reason="x"),
        happened.EntryReadmitted(entry="e9", reason="x"),
        happened.EntryReinstated(entry="e1", reason="x"),
        happened.EntryReinstated(entry="e9", reason="x"),
    ):
        scene = Scene().planned()
        scene._fold((undone,))  # noqa: SLF001 - events that no decision lets happen
        assert scene.state == msgspec.structs.replace(state, version=state.version + 1)


def test_the_shipped_books_let_a_missed_gate_be_undone() -> None:
    scene = Scene(shipped("western-horsemanship")).planned().given(EXCUSED, BACK, by=OFFICE)
    assert scene.state.entries["e1"].gate is None
    assert scene.now == NOON
