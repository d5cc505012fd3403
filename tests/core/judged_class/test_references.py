"""Which entry, seat or maneuver a command means."""

import pytest

from events.judged_class import commands as ask
from events.judged_class import events as happened
from events.judged_class.commands import EntryRef
from events.judged_class.evolve import fold, skip
from events.judged_class.references import entry_meant
from events.refusals import Refusal
from tests.core.judged_class.scene import SCHEDULE, Scene, accept, entry, mark, order


def crossed() -> Scene:
    """Three entries whose back numbers are also working-order numbers, of other entries.

    Common practice: the two numbers are different things and must not be confused on the card.
    """
    scene = Scene().given(SCHEDULE, ask.SetPattern(maneuvers=("Walk", "Jog")))
    scene.given(ask.SeatJudge(seat="A", judge="judge-A"))
    for name, number in (("e1", 2), ("e2", 3), ("e3", 1)):
        scene.given(ask.AcceptEntry(entry=name, back_number=number, exhibitor=f"p-{name}"))
    return scene.given(ask.SetDraw(order=("e1", "e2", "e3")))


def marking(ref: EntryRef) -> ask.GiveMark:
    return ask.GiveMark(seat="A", ref=ref, maneuver=1, mark=0)


FIELDS = {"unknown_working_order": "working_order", "unknown_back_number": "back_number"}
"""The number that is at fault, where one was given."""


@pytest.mark.parametrize(
    ("ref", "meant"),
    [
        (EntryRef(entry="e2"), "e2"),
        (EntryRef(working_order=2), "e2"),
        (EntryRef(back_number=2), "e1"),
        (EntryRef(working_order=1, back_number=2), "e1"),
        (EntryRef(entry="e3", working_order=3, back_number=1), "e3"),
    ],
)
def test_an_entry_is_meant_by_any_of_its_names(ref: EntryRef, meant: str) -> None:
    (event,) = crossed().when(marking(ref))
    assert isinstance(event, happened.MarkGiven)
    assert event.entry == meant


@pytest.mark.parametrize(
    ("ref", "said"),
    [
        (EntryRef(working_order=2, back_number=2), "Working-order number 2 carries back number 3"),
        (EntryRef(entry="e1", working_order=2), "back number 2 and back number 3"),
        (EntryRef(entry="e1", back_number=1), "back number 2 and back number 1"),
        (EntryRef(entry="e1", working_order=2, back_number=3), "back number 2 and back number 3"),
        (EntryRef(entry="e2", working_order=2, back_number=1), "number 2 carries back number 3"),
    ],
)
def test_names_that_mean_different_entries_are_caught(ref: EntryRef, said: str) -> None:
    refused = crossed().refusal(marking(ref))
    assert (refused.code, refused.field) == ("entry_numbers_disagree", "entry")
    assert said in refused.message
    named = (ref.entry, ref.working_order, ref.back_number)
    assert (
        refused.facts["entry"],
        refused.facts["working_order"],
        refused.facts["back_number"],
    ) == named


@pytest.mark.parametrize(
    ("ref", "code"),
    [
        (EntryRef(), "entry_not_named"),
        (EntryRef(entry="e9"), "unknown_entry"),
        (EntryRef(working_order=0), "unknown_working_order"),
        (EntryRef(working_order=-1), "unknown_working_order"),
        (EntryRef(working_order=4), "unknown_working_order"),
        (EntryRef(back_number=214), "unknown_back_number"),
        (EntryRef(entry="e1", back_number=214), "unknown_back_number"),
    ],
)
def test_a_name_that_means_nobody_is_refused(ref: EntryRef, code: str) -> None:
    crossed().refuses(marking(ref), code, FIELDS.get(code, "entry"))


def test_there_are_no_working_order_numbers_before_the_draw() -> None:
    scene = Scene().given(SCHEDULE, accept(1))
    refused = scene.refusal(ask.ScratchEntry(ref=EntryRef(working_order=1)))
    assert refused.code == "unknown_working_order"
    assert "no draw yet" in refused.message


def test_a_working_order_number_whose_entry_was_struck_out_means_nobody() -> None:
    # What-if: the fold of a log without the event that took the entry.
    scene = crossed()
    state = fold(())
    for event in scene.log:
        struck = isinstance(event, happened.EntryAccepted) and event.entry == "e2"
        state = skip(state) if struck else fold((event,), state)
    with pytest.raises(Refusal) as caught:
        entry_meant(state, EntryRef(working_order=2))
    assert caught.value.code == "unknown_working_order"
    assert entry_meant(state, EntryRef(working_order=3)).id == "e3"


def test_a_back_number_means_who_carries_it_now() -> None:
    scene = Scene().planned(1).given(ask.ScratchEntry(ref=entry("e1")))
    carried = scene.state.entries["e1"].back_number
    scene.given(ask.AcceptEntry(entry="e9", back_number=carried, exhibitor="p9"))
    assert entry_meant(scene.state, EntryRef(back_number=carried)).id == "e9"


def test_a_back_number_that_was_only_scratched_means_the_scratched_entry() -> None:
    scene = Scene().planned(1).given(ask.ScratchEntry(ref=entry("e1")))
    carried = scene.state.entries["e1"].back_number
    scene.refuses(marking(EntryRef(back_number=carried)), "entry_scratched", "entry")


def test_an_entry_outside_the_draw_cannot_be_marked() -> None:
    Scene().planned().given(accept(4)).refuses(mark("A", "e4", 1, 0), "entry_not_drawn", "entry")


def test_an_unknown_seat_is_answered_with_the_seats_there_are() -> None:
    refused = Scene().planned(seats="BA").refusal(mark("C", "e1", 1, 0))
    assert (refused.code, refused.field) == ("unknown_seat", "seat")
    assert "seated: A, B." in refused.message


def test_without_seats_the_answer_says_so() -> None:
    refused = Scene().planned(seats="").refusal(mark("A", "e1", 1, 0))
    assert "seated: none yet." in refused.message


@pytest.mark.parametrize("maneuver", [0, -1, 3])
def test_a_maneuver_outside_the_pattern_is_refused(maneuver: int) -> None:
    refused = Scene().planned(maneuvers=2).refusal(mark("A", "e1", maneuver, 0))
    assert (refused.code, refused.field) == ("unknown_maneuver", "maneuver")
    assert refused.facts["maneuvers"] == 2


def test_nothing_is_marked_before_the_pattern_is_set() -> None:
    scene = Scene().given(SCHEDULE, accept(1), ask.SeatJudge(seat="A", judge="judge-A"))
    scene.given(ask.SetDraw(order=("e1",)))
    scene.refuses(mark("A", "e1", 1, 0), "no_pattern", "maneuver")


def test_an_order_points_at_the_name_that_is_wrong() -> None:
    scene = Scene().planned(2).marked({"e1": 0, "e2": 0})
    scene.refuses(order("A", "r1", "e1 e9"), "unknown_entry", "order[1]")
