"""Taking entries and scratching them."""

import msgspec
import pytest

from events.judged_class import commands as ask
from events.judged_class import events as happened
from tests.core.judged_class.scene import SCHEDULE, Scene, accept, entry, mark

SCRATCH = ask.ScratchEntry(ref=entry("e1"), reason="sha256:lame")


def test_an_entry_is_accepted_under_its_back_number() -> None:
    asked = ask.AcceptEntry(entry="e1", back_number=214, exhibitor="p1", horse="h1")
    assert Scene().given(SCHEDULE).when(asked) == (
        happened.EntryAccepted(entry="e1", back_number=214, exhibitor="p1", horse="h1"),
    )


@pytest.mark.parametrize("number", [0, -3])
def test_back_numbers_count_from_one(number: int) -> None:
    asked = msgspec.structs.replace(accept(1), back_number=number)
    Scene().given(SCHEDULE).refuses(asked, "back_number_not_positive", "back_number")


@pytest.mark.parametrize("named", [("open", "open"), ("youth", "open", "Open")])
def test_an_entry_names_each_of_its_divisions_once(named: tuple[str, ...]) -> None:
    command = msgspec.structs.replace(accept(1), divisions=named)
    field = f"divisions[{len(named) - 1}]"
    Scene().given(SCHEDULE).refuses(command, "division_named_twice", field)


def test_an_entry_id_belongs_to_one_entry() -> None:
    other = msgspec.structs.replace(accept(1), exhibitor="p9")
    Scene().given(SCHEDULE, accept(1)).refuses(other, "entry_id_taken", "entry")


def test_a_back_number_is_carried_once() -> None:
    scene = Scene().given(SCHEDULE, accept(1))
    other = msgspec.structs.replace(accept(2), back_number=accept(1).back_number)
    scene.refuses(other, "back_number_taken", "back_number")


def test_a_scratched_entrys_back_number_is_free_again() -> None:
    scene = Scene().given(SCHEDULE, accept(1), SCRATCH)
    scene.given(msgspec.structs.replace(accept(2), back_number=accept(1).back_number))
    assert scene.state.entries["e2"].back_number == accept(1).back_number


def test_a_scratched_entry_is_not_taken_again_under_its_old_id() -> None:
    Scene().given(SCHEDULE, accept(1), SCRATCH).refuses(accept(1), "entry_scratched", "entry")


def test_a_late_entry_is_taken_while_others_ride() -> None:
    scene = Scene().planned().given(mark("A", "e1", 1, 0))
    scene.given(accept(4))
    assert scene.state.phase == "running"


def test_no_entry_is_taken_once_results_are_posted() -> None:
    scene = Scene().planned(1).marked({"e1": 0}).posted()
    scene.refuses(accept(2), "wrong_phase", None)


def test_an_entry_is_scratched_for_a_reason() -> None:
    assert Scene().planned().when(SCRATCH) == (
        happened.EntryScratched(entry="e1", reason="sha256:lame"),
    )


def test_an_entry_that_a_judge_has_begun_to_mark_is_not_scratched() -> None:
    scene = Scene().planned().given(mark("A", "e1", 1, 0))
    refused = scene.refusal(SCRATCH)
    assert (refused.code, refused.field) == ("entry_judged", "entry")
    assert refused.facts["seats"] == ("A",)


def test_a_learners_mark_does_not_keep_an_entry_from_being_scratched() -> None:
    scene = Scene().planned(learners="L").given(mark("L", "e1", 1, 0))
    scene.given(SCRATCH)
    assert scene.state.entries["e1"].scratched is not None


def test_an_entry_is_still_scratched_while_others_ride() -> None:
    scene = Scene().planned().given(mark("A", "e2", 1, 0), SCRATCH)
    assert scene.state.phase == "running"


def test_an_entry_says_by_which_version_of_its_show_it_was_checked() -> None:
    scene = Scene().given(SCHEDULE, msgspec.structs.replace(accept(1), checked_at=7))
    assert scene.state.entries["e1"].checked_at == 7
    assert scene.when(msgspec.structs.replace(accept(1), checked_at=9)) == ()
    scene.given(ask.ChangeHorse(ref=entry("e1"), horse="h2", checked_at=9))
    assert scene.state.entries["e1"].checked_at == 9
