"""What stands on a signed card is replaced, taken away, or added to, by correction alone."""

import msgspec
import pytest

from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.judged_class.commands import EntryRef
from tests.core.judged_class.scene import (
    OFFICE,
    STEWARD,
    Scene,
    correction,
    entry,
    mark,
    observe,
    outcome,
    penalty,
    ridden,
    rider,
)


def signed() -> tuple[Scene, dict[str, int]]:
    """A signed ride with a fact of every kind, and the version of each."""
    scene = ridden(e1=2, e2=0)
    facts: dict[str, ask.FactCommand] = {
        "mark": mark("A", "e1", 2, 1),
        "penalty": penalty("A", "e1", "p1", code="tick"),
        "rider": rider("A", "e1", 5),
        "outcome": outcome("A", "e1", "off_pattern", maneuver=2),
        "observation": observe("A", "e1", "o1"),
    }
    versions = {name: scene.version_of(asked) for name, asked in facts.items()}
    return scene.signed(), versions


REPLACEMENTS: dict[str, ask.FactCommand] = {
    "mark": mark("A", "e1", 2, 3),
    "penalty": penalty("A", "e1", "p1", code="stop-late"),
    "rider": rider("A", "e1", 6),
    "outcome": outcome("A", "e1", "zero"),
    "observation": observe("A", "e1", "o1", maneuver=1),
}


def test_a_correction_replaces_one_fact_by_another() -> None:
    scene, versions = signed()
    asked = correction("c1", mark("A", "e1", 2, 3), replaces=versions["mark"])
    assert scene.when(asked) == (
        happened.CorrectionMade(
            correction="c1",
            seat="A",
            entry="e1",
            authority="judge",
            reason="sha256:misheard",
            replaces=versions["mark"],
            fact=happened.MarkGiven(seat="A", entry="e1", maneuver=2, mark=3),
        ),
    )


@pytest.mark.parametrize("kind", list(REPLACEMENTS))
def test_a_fact_of_any_kind_is_replaced_by_one_of_its_kind(kind: str) -> None:
    scene, versions = signed()
    scene.given(correction("c1", REPLACEMENTS[kind], replaces=versions[kind]))
    ride = scene.state.cards["A"].rides["e1"]
    assert len(ride.penalties) == len(ride.observations) == 1
    assert scene.state.cards["A"].signed is not None
    assert scene.state.changed_at == len(scene.log)


@pytest.mark.parametrize("kind", list(REPLACEMENTS))
def test_a_fact_of_any_kind_is_taken_away(kind: str) -> None:
    scene, versions = signed()
    before = scene.state.cards["A"].rides["e1"]
    scene.given(correction("c1", replaces=versions[kind]))
    after = scene.state.cards["A"].rides["e1"]
    gone = {
        "mark": after == msgspec.structs.replace(before, marks={1: before.marks[1]}),
        "penalty": after == msgspec.structs.replace(before, penalties=()),
        "rider": after == msgspec.structs.replace(before, rider_mark=None),
        "outcome": after == msgspec.structs.replace(before, outcome=None),
        "observation": after == msgspec.structs.replace(before, observations=()),
    }
    assert gone[kind]


@pytest.mark.parametrize("kind", list(REPLACEMENTS))
def test_a_fact_that_was_left_out_is_added(kind: str) -> None:
    scene, versions = signed()
    scene.given(correction("c1", replaces=versions[kind]))
    scene.given(correction("c2", REPLACEMENTS[kind]))
    assert scene.state.corrections["c2"].event.replaces is None


def test_a_correction_is_itself_corrected_by_its_version() -> None:
    scene, versions = signed()
    made = scene.version_of(correction("c1", mark("A", "e1", 2, 3), replaces=versions["mark"]))
    scene.refuses(
        correction("c2", mark("A", "e1", 2, 4), replaces=versions["mark"]),
        "fact_not_standing",
        "replaces",
    )
    scene.given(correction("c2", mark("A", "e1", 2, 4), replaces=made))
    assert scene.state.cards["A"].rides["e1"].marks[2].event.mark == 4


def test_a_mark_may_move_to_a_maneuver_that_has_none() -> None:
    scene, versions = signed()
    first = scene.state.cards["A"].rides["e1"].marks[1].version
    scene.given(correction("c1", replaces=first))
    scene.given(correction("c2", mark("A", "e1", 1, 1), replaces=versions["mark"]))
    marks = scene.state.cards["A"].rides["e1"].marks
    assert {number: known.event.mark for number, known in marks.items()} == {1: 1}


@pytest.mark.parametrize(
    "fact", [mark("A", "e1", 1, 3), rider("A", "e1", 4), outcome("A", "e1", "zero")]
)
def test_what_stands_in_the_way_is_named_and_not_overwritten(fact: ask.FactCommand) -> None:
    scene, _ = signed()
    scene.refuses(correction("c1", fact), "fact_in_the_way", "replaces")


def test_a_mark_does_not_move_onto_another() -> None:
    scene, versions = signed()
    asked = correction("c1", mark("A", "e1", 1, 3), replaces=versions["mark"])
    scene.refuses(asked, "fact_in_the_way", "replaces")


def test_a_correction_says_what_it_changes() -> None:
    scene, _ = signed()
    scene.refuses(correction("c1"), "correction_empty", "fact")


@pytest.mark.parametrize("kind", ["penalty", "rider"])
def test_a_fact_is_not_replaced_by_one_of_another_kind(kind: str) -> None:
    scene, versions = signed()
    asked = correction("c1", mark("A", "e1", 2, 3), replaces=versions[kind])
    scene.refuses(asked, "correction_of_another_kind", "fact")


@pytest.mark.parametrize(
    ("replaces", "fact"),
    [
        ("mark", mark("A", "e1", 2, 1)),
        (None, mark("A", "e1", 2, 1)),
        ("mark", mark("A", "e1", 1, 2)),
        (None, rider("A", "e1", 5)),
        (None, penalty("A", "e1", "p1", code="tick")),
        (None, outcome("A", "e1", "off_pattern", maneuver=2)),
        (None, observe("A", "e1", "o1")),
    ],
)
def test_a_correction_that_changes_nothing_is_refused(
    replaces: str | None, fact: ask.FactCommand
) -> None:
    scene, versions = signed()
    asked = correction("c1", fact, replaces=versions[replaces] if replaces else None)
    scene.refuses(asked, "correction_changes_nothing", "fact")


@pytest.mark.parametrize("replaces", [0, 1, 999])
def test_only_a_fact_that_stands_is_replaced(replaces: int) -> None:
    scene, _ = signed()
    refused = scene.refusal(correction("c1", replaces=replaces))
    assert (refused.code, refused.field) == ("fact_not_standing", "replaces")
    assert refused.facts["replaces"] == replaces


def test_another_entrys_fact_is_not_this_entrys_to_correct() -> None:
    scene, versions = signed()
    asked = correction("c1", replaces=versions["mark"], of=("A", "e2"))
    scene.refuses(asked, "fact_not_standing", "replaces")


def test_the_fact_may_name_its_entry_in_another_way_than_the_correction() -> None:
    scene, versions = signed()
    fact = ask.GiveMark(seat="A", ref=EntryRef(working_order=1), maneuver=2, mark=3)
    asked = correction("c1", fact, replaces=versions["mark"], ref=EntryRef(back_number=214))
    scene.given(asked)


@pytest.mark.parametrize(
    ("fact", "code", "field"),
    [
        (mark("B", "e1", 2, 3), "fact_elsewhere", "fact.seat"),
        (mark("A", "e2", 2, 3), "fact_elsewhere", "fact.entry"),
        (mark("A", "e9", 2, 3), "unknown_entry", "fact.entry"),
        (mark("A", "e1", 2, 9), "mark_out_of_range", "fact.mark"),
        (penalty("A", "e1", "p9", points=3), "unknown_penalty_size", "fact.points"),
    ],
)
def test_what_is_wrong_with_the_fact_is_found_under_fact(
    fact: ask.FactCommand, code: str, field: str
) -> None:
    scene, _ = signed()
    refused = scene.refusal(correction("c1", fact, seat="A", ref=entry("e1")))
    assert (refused.code, refused.field) == (code, field)


def test_an_added_penalty_has_a_call_id_of_its_own() -> None:
    scene, _ = signed()
    asked = correction("c1", penalty("A", "e1", "p1", code="stop-late"))
    scene.refuses(asked, "call_id_taken", "fact.call")


def test_a_correction_id_belongs_to_one_correction() -> None:
    scene, versions = signed()
    scene.given(correction("c1", mark("A", "e1", 2, 3), replaces=versions["mark"]))
    other = correction("c1", replaces=versions["penalty"])
    scene.refuses(other, "correction_id_taken", "correction")


def test_an_open_card_is_marked_again_and_not_corrected() -> None:
    ridden(e1=0).refuses(correction("c1", mark("A", "e1", 1, 2)), "card_not_signed", "seat")


@pytest.mark.parametrize(
    ("asked", "code", "field"),
    [
        (correction("c1", replaces=1, of=("B", "e1")), "unknown_seat", "seat"),
        (correction("c1", replaces=1, of=("A", "e9")), "unknown_entry", "entry"),
    ],
)
def test_a_correction_names_a_seat_and_an_entry_of_the_class(
    asked: ask.MakeCorrection, code: str, field: str
) -> None:
    ridden(e1=0).signed().refuses(asked, code, field)


def test_a_scratched_entry_has_nothing_to_correct() -> None:
    scene = Scene().planned(2).marked({"e2": 0}).given(ask.ScratchEntry(ref=entry("e1")))
    asked = correction("c1", mark("A", "e1", 1, 0))
    scene.signed().refuses(asked, "entry_scratched", "entry", by=STEWARD)


def test_a_posted_result_is_corrected_and_must_be_posted_again() -> None:
    scene = ridden(e1=2, e2=0).posted()
    scene.given(correction("c1", penalty("A", "e1", "p1", code="tick")), by=OFFICE)
    assert scene.placed() == {"e2": "1", "e1": "2"}
    scene.refuses(ask.MakeOfficial(reason="sha256:seen"), "posting_out_of_date", None)
    scene.given(ask.PostResults(), ask.MakeOfficial(reason="sha256:seen"))
    assert scene.state.revision == 2


def test_a_mark_that_was_struck_out_holds_the_next_posting_back() -> None:
    scene = ridden(e1=2, e2=0).posted()
    first = scene.state.cards["A"].rides["e1"].marks[1].version
    scene.given(correction("c1", replaces=first))
    refused = scene.refusal(ask.PostResults())
    assert refused.code == "card_incomplete"
    assert refused.facts["entry"] == "e1"


def test_official_results_are_opened_again_before_they_are_corrected() -> None:
    scene = ridden(e1=2).official()
    asked = correction("c1", mark("A", "e1", 1, 0), replaces=1, authority="office_error")
    scene.refuses(asked, "wrong_phase", None)
