"""Who may be entered in a class, by the divisions of its show."""

from datetime import date

import msgspec
import pytest

from events.envelope import Command
from events.show import commands as ask
from events.show.division import AgeLimits, DivisionTerms, HorseAge
from events.show.entering import Entering, in_divisions, refusals, worst
from events.show.facts import HorseFacts, Membership, RiderFacts
from events.show.state import INITIAL, ShowState
from tests.core.show.scene import Scene, planned

YOUTH = ask.DefineDivision(division="Youth", terms=DivisionTerms(rider_age=AgeLimits(highest=18)))
GREEN = ask.DefineDivision(
    division="Green",
    terms=DivisionTerms(rider_age=AgeLimits(lowest=10), horse_age=HorseAge(highest=5)),
)
MEMBERS = ask.DefineDivision(division="Members", terms=DivisionTerms(member_of="Hill Country"))
OPEN = ask.DefineDivision(division="Open", terms=DivisionTerms())
CHILD = RiderFacts(born=date(2012, 4, 1))
ADULT = RiderFacts(born=date(1990, 4, 1))
COLT = HorseFacts(foaled_year=2023)


def defined(*further: Command) -> Scene:
    return planned().given(YOUTH, GREEN, MEMBERS, OPEN, *further)


def entering(*divisions: str, rider: RiderFacts = CHILD, **more: object) -> Entering:
    made = Entering(exhibitor="p1", rider=rider, horse="h1", mount=COLT, divisions=divisions)
    return msgspec.structs.replace(made, **more)


def refused(state: ShowState, whom: Entering, class_id: str = "c1") -> list[tuple[str, str | None]]:
    return [(each.code, each.field) for each in refusals(state, class_id, whom)]


def standings(state: ShowState, whom: Entering) -> dict[str, str]:
    return {each.division: each.standing for each in in_divisions(state, "c1", whom)}


def test_a_show_that_defines_no_divisions_takes_whatever_is_named() -> None:
    assert refused(planned().state, entering("Anything")) == []
    assert in_divisions(planned().state, "c1", entering("Anything")) == ()
    assert refused(INITIAL, entering("Anything")) == []


def test_a_division_that_is_not_defined_is_refused_with_those_that_are() -> None:
    [refusal] = refusals(defined().state, "c1", entering("Open", "Yuoth"))
    assert (refusal.code, refusal.field) == ("division_not_defined", "divisions[1]")
    assert refusal.message == (
        "The show defines no division Yuoth; it defines: Green, Members, Open, Youth."
    )


def test_an_entry_is_held_to_every_division_that_it_names() -> None:
    found = refused(defined().state, entering("Youth", "Green", rider=ADULT, mount=HorseFacts()))
    assert found == [("rider_too_old", "exhibitor"), ("horse_foaling_unknown", "horse")]
    assert refused(defined().state, entering("Youth", "Green")) == []
    assert refused(defined().state, entering()) == []


def test_a_class_takes_the_divisions_that_it_has() -> None:
    state = defined(ask.SetClassDivisions(class_id="c1", admits=("Youth", "Open"))).state
    assert refused(state, entering("Youth", "Green")) == [("division_not_admitted", "divisions[1]")]
    [refusal] = refusals(state, "c1", entering("Green"))
    assert refusal.message == "This class has no division Green; it has: Youth, Open."
    assert refused(state, entering("Green", rider=RiderFacts())) == [
        ("division_not_admitted", "divisions[0]"),
        ("rider_birth_unknown", "exhibitor"),
    ]
    assert standings(state, entering("Green", "Open")) == {
        "Green": "not_admitted",
        "Open": "eligible",
    }
    assert refused(state, entering("Yuoth")) == [("division_not_defined", "divisions[0]")]
    assert refused(state, entering("Green"), class_id="c2") == []
    assert refused(state, entering()) == []


@pytest.mark.parametrize(
    ("admits", "said"), [(("Open",), "Open."), ((), "Green, Members, Open, Youth.")]
)
def test_a_class_may_want_every_entry_in_a_division(admits: tuple[str, ...], said: str) -> None:
    of_class = ask.SetClassDivisions(class_id="c1", admits=admits, must_name=True)
    state = defined(of_class).state
    [refusal] = refusals(state, "c1", entering())
    assert (refusal.code, refusal.field) == ("division_not_named", "divisions")
    assert refusal.message.endswith(f"name one of {said}")
    assert refused(state, entering("Open")) == []


def test_a_class_may_require_a_division_of_everybody() -> None:
    state = defined(ask.SetClassDivisions(class_id="c1", requires=("Youth",))).state
    assert refused(state, entering(rider=ADULT)) == [("rider_too_old", "exhibitor")]
    assert refused(state, entering("Youth", rider=ADULT)) == [("rider_too_old", "exhibitor")]
    [youth] = in_divisions(state, "c1", entering())
    assert (youth.division, youth.standing, youth.required) == ("Youth", "eligible", True)


def test_evidence_stands_in_for_what_the_registry_does_not_hold() -> None:
    seen = ask.RecordEvidence(division="Youth", exhibitor="p1", reason="sha256:passport")
    unknown = entering("Youth", rider=RiderFacts())
    assert refused(defined().state, unknown) == [("rider_birth_unknown", "exhibitor")]
    state = defined(seen).state
    assert refused(state, unknown) == []
    [youth] = in_divisions(state, "c1", unknown)
    assert youth.standing == "on_evidence"
    assert [reason.code for reason in youth.reasons] == ["rider_birth_unknown"]
    assert refused(state, msgspec.structs.replace(unknown, exhibitor="p2")) != []


def test_evidence_about_the_rider_says_nothing_of_the_horse() -> None:
    of_rider = ask.RecordEvidence(division="Green", exhibitor="p1", reason="sha256:passport")
    of_horse = ask.RecordEvidence(division="Green", horse="h1", reason="sha256:papers")
    unknown = entering("Green", rider=RiderFacts(), mount=HorseFacts())
    assert refused(defined(of_rider).state, unknown) == [("horse_foaling_unknown", "horse")]
    assert refused(defined(of_horse).state, unknown) == [("rider_birth_unknown", "exhibitor")]
    assert refused(defined(of_rider, of_horse).state, unknown) == []


def test_evidence_never_stands_against_what_the_registry_holds() -> None:
    seen = ask.RecordEvidence(division="Youth", exhibitor="p1", reason="sha256:passport")
    assert refused(defined(seen).state, entering("Youth", rider=ADULT)) == [
        ("rider_too_old", "exhibitor")
    ]


def test_it_stands_in_each_division_as_its_reasons_say() -> None:
    known = entering("Youth", "Green", "Members", "Open", "Yuoth", mount=None, horse=None)
    assert standings(defined().state, known) == {
        "Youth": "eligible",
        "Green": "not_eligible",
        "Members": "unknown",
        "Open": "eligible",
        "Yuoth": "not_defined",
    }


def test_together_it_stands_as_in_the_worst_of_them() -> None:
    state = defined().state
    assert worst(in_divisions(state, "c1", entering())) == "eligible"
    assert worst(in_divisions(state, "c1", entering("Open", "Members"))) == "unknown"
    assert worst(in_divisions(state, "c1", entering("Members", "Yuoth", "Open"))) == "not_defined"


def test_a_class_requires_a_division_that_it_does_not_place() -> None:
    of_class = ask.SetClassDivisions(class_id="c1", admits=("Open",), requires=("Youth",))
    state = defined(of_class).state
    assert refused(state, entering("Open")) == []
    assert refused(state, entering("Open", "Open")) == []
    assert refused(state, entering("Youth")) == [("division_not_admitted", "divisions[0]")]


def test_members_are_members_on_the_day_of_the_class_or_else_on_the_first() -> None:
    joined = RiderFacts(memberships=(Membership(body="Hill Country", since=date(2026, 6, 6)),))
    state = defined().state
    assert refused(state, entering("Members", rider=joined, held_on=date(2026, 6, 6))) == []
    assert refused(state, entering("Members", rider=joined)) == [
        ("membership_not_in_force", "exhibitor")
    ]
