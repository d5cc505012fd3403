"""Divisions of a show: what they ask, which classes have them, what evidence was seen."""

from datetime import date
from typing import get_args

import msgspec
import pytest

from events.envelope import Actor, Command, Role
from events.show import commands as ask
from events.show import events as happened
from events.show.division import (
    AgeLimits,
    CountedOn,
    DivisionTerms,
    HorseAge,
    LevelsAdmitted,
)
from tests.core.show.scene import OFFICE, STEWARD, Scene, changed, planned

YOUTH = ask.DefineDivision(division="Youth", terms=DivisionTerms(rider_age=AgeLimits(highest=18)))
NOVICE = ask.DefineDivision(
    division="Novice", terms=DivisionTerms(rider_levels=LevelsAdmitted(levels=("novice",)))
)
OF_CLASS = ask.SetClassDivisions(class_id="c1", admits=("Youth",), requires=("Novice",))
PASSPORT = ask.RecordEvidence(division="Youth", exhibitor="p1", reason="sha256:passport")
NO_PASSPORT = ask.TakeEvidenceBack(division="Youth", exhibitor="p1", reason="sha256:forged")


def asking(**terms: object) -> ask.DefineDivision:
    return ask.DefineDivision(division="Youth", terms=msgspec.convert(terms, DivisionTerms))


def test_a_division_is_defined_by_its_terms() -> None:
    scene = planned()
    assert scene.when(YOUTH) == (happened.DivisionDefined(division="Youth", terms=YOUTH.terms),)
    assert set(scene.given(YOUTH, NOVICE).state.divisions) == {"Youth", "Novice"}


def test_a_division_may_ask_nothing() -> None:
    planned().given(ask.DefineDivision(division="Open", terms=DivisionTerms()))


def test_a_division_needs_a_name_of_its_own() -> None:
    scene = planned().given(YOUTH)
    scene.refuses(changed(YOUTH, division=" "), "division_unnamed", "division")
    refused = scene.refuses(changed(YOUTH, division="youth "), "division_alike", "division")
    assert refused.facts["division"] == "Youth"


def test_a_division_changes_only_for_a_reason() -> None:
    other = changed(YOUTH, terms=DivisionTerms(rider_age=AgeLimits(highest=19)))
    scene = planned().given(YOUTH)
    assert scene.when(changed(YOUTH, reason="sha256:again")) == ()
    scene.refuses(other, "division_defined_already", "reason")
    scene.given(changed(other, reason="sha256:schedule"))
    assert scene.state.divisions["Youth"].terms.rider_age == AgeLimits(highest=19)


@pytest.mark.parametrize(
    ("asked", "code", "field"),
    [
        (asking(rider_age={}), "age_without_limit", "terms.rider_age"),
        (asking(rider_age={"lowest": -1}), "age_negative", "terms.rider_age"),
        (asking(horse_age={"highest": -1}), "age_negative", "terms.horse_age"),
        (
            asking(horse_age={"lowest": 4, "highest": 3}),
            "ages_reversed",
            "terms.horse_age.lowest",
        ),
        (asking(rider_levels={"levels": []}), "levels_missing", "terms.rider_levels"),
        (asking(horse_levels={"levels": ["a", " "]}), "levels_missing", "terms.horse_levels"),
        (
            asking(rider_levels={"levels": ["a"], "discipline": " "}),
            "discipline_unnamed",
            "terms.rider_levels.discipline",
        ),
        (asking(member_of=" "), "body_unnamed", "terms.member_of"),
        (
            asking(horse_age={"lowest": 3, "year_begins": "02-29"}),
            "day_not_every_year",
            "terms.horse_age.year_begins",
        ),
        (
            asking(horse_age={"lowest": 3, "southern_year_begins": "8-1"}),
            "day_not_every_year",
            "terms.horse_age.southern_year_begins",
        ),
        (
            asking(horse_age={"lowest": 3, "year_begins": None, "southern_year_begins": "08-01"}),
            "southern_year_alone",
            "terms.horse_age.southern_year_begins",
        ),
    ],
)
def test_terms_that_say_nothing_clear_are_refused(asked: Command, code: str, field: str) -> None:
    planned().refuses(asked, code, field)


@pytest.mark.parametrize(
    ("on", "code", "field"),
    [
        (CountedOn(kind="given"), "day_counted_unclear", "day"),
        (CountedOn(day=date(2026, 1, 1)), "day_counted_unclear", "day"),
        (CountedOn(kind="same_year"), "day_counted_unclear", "month_day"),
        (CountedOn(month_day="01-01"), "day_counted_unclear", "month_day"),
        (CountedOn(kind="year_before", month_day="02-29"), "day_not_every_year", "month_day"),
        (CountedOn(kind="year_before", month_day="02-30"), "day_not_every_year", "month_day"),
        (CountedOn(kind="same_year", month_day="W01-1"), "day_not_every_year", "month_day"),
    ],
)
def test_the_day_that_is_counted_on_is_clear(on: CountedOn, code: str, field: str) -> None:
    terms = DivisionTerms(rider_age=AgeLimits(highest=18, on=on))
    planned().refuses(changed(YOUTH, terms=terms), code, f"terms.rider_age.on.{field}")
    levels = DivisionTerms(rider_levels=LevelsAdmitted(levels=("novice",), on=on))
    planned().refuses(changed(YOUTH, terms=levels), code, f"terms.rider_levels.on.{field}")


def test_an_age_may_be_counted_by_days_and_nought_is_one() -> None:
    by_days = HorseAge(lowest=0, highest=0, year_begins=None)
    southern = HorseAge(highest=4, southern_year_begins="08-01")
    given = CountedOn(kind="given", day=date(2026, 5, 1))
    planned().given(
        changed(YOUTH, division="Foals", terms=DivisionTerms(horse_age=by_days)),
        changed(YOUTH, division="Green", terms=DivisionTerms(horse_age=southern)),
        changed(YOUTH, terms=DivisionTerms(rider_age=AgeLimits(lowest=3, on=given))),
        changed(YOUTH, division="Members", terms=DivisionTerms(member_of="Hill Country")),
    )


# --- divisions of classes ------------------------------------------------------------------------


def test_a_class_has_divisions_that_the_show_defines() -> None:
    scene = planned().given(NOVICE)
    refused = scene.refuses(OF_CLASS, "division_not_defined", "admits[0]")
    assert refused.message == "The show defines no division Youth; it defines: Novice."
    assert refused.facts["defined"] == ("Novice",)
    assert "none yet" in planned().refuses(OF_CLASS, "division_not_defined", "admits[0]").message
    planned().given(YOUTH).refuses(OF_CLASS, "division_not_defined", "requires[0]")
    scene.given(YOUTH, OF_CLASS)
    assert scene.state.class_divisions["c1"].requires == ("Novice",)


@pytest.mark.parametrize("field", ["admits", "requires"])
def test_a_class_names_each_of_its_divisions_once(field: str) -> None:
    twice = changed(OF_CLASS, **{field: ("Youth", "Youth")})
    planned().given(YOUTH, NOVICE).refuses(twice, "division_named_twice", f"{field}[1]")


def test_a_division_that_a_class_has_is_not_dropped() -> None:
    drop = ask.DropDivision(division="Novice", reason="sha256:no-entries")
    scene = planned().given(YOUTH, NOVICE, OF_CLASS)
    assert scene.refuses(drop, "division_in_use", "division").facts["class_ids"] == ("c1",)
    scene.refuses(changed(drop, division="Youth"), "division_in_use", "division")
    scene.given(changed(OF_CLASS, requires=(), must_name=True), drop)
    assert set(scene.state.divisions) == {"Youth"}
    assert scene.when(drop) == ()


# --- evidence ------------------------------------------------------------------------------------


@pytest.mark.parametrize("actor", [OFFICE, STEWARD])
def test_the_office_and_the_steward_look_at_evidence(actor: Actor) -> None:
    scene = planned().given(YOUTH)
    assert scene.when(PASSPORT, by=actor) == (
        happened.EvidenceSeen(division="Youth", exhibitor="p1", reason="sha256:passport"),
    )
    scene.given(PASSPORT)
    assert scene.when(NO_PASSPORT, by=actor) == (
        happened.EvidenceTakenBack(division="Youth", exhibitor="p1", reason="sha256:forged"),
    )


@pytest.mark.parametrize(
    "role", [role for role in get_args(Role) if role not in {"office", "steward"}]
)
def test_nobody_else_looks_at_evidence(role: Role) -> None:
    scene = planned().given(YOUTH)
    refused = scene.refuses(PASSPORT, "role_not_allowed", None, by=Actor(key="k", role=role))
    assert refused.rule == "the office and the steward look at evidence"


def test_the_steward_defines_no_division() -> None:
    planned().refuses(YOUTH, "role_not_allowed", None, by=STEWARD)


def test_evidence_is_about_a_rider_or_a_horse_in_a_division_of_the_show() -> None:
    scene = planned().given(YOUTH)
    nobody = changed(PASSPORT, exhibitor=None)
    scene.refuses(nobody, "evidence_about_nobody", "exhibitor")
    scene.refuses(changed(PASSPORT, horse="h1"), "evidence_about_nobody", "exhibitor")
    scene.refuses(changed(PASSPORT, division="Novice"), "division_not_defined", "division")
    scene.given(changed(nobody, horse="h1"))


def test_evidence_that_was_taken_back_counts_no_longer() -> None:
    scene = planned().given(YOUTH, PASSPORT)
    assert scene.when(changed(NO_PASSPORT, exhibitor="p2")) == ()
    scene.given(NO_PASSPORT)
    assert scene.state.evidence == {}
    scene.given(PASSPORT)


def test_evidence_counts_only_for_the_terms_that_it_was_seen_for() -> None:
    other = changed(
        YOUTH, terms=DivisionTerms(rider_age=AgeLimits(highest=13)), reason="sha256:schedule"
    )
    of_novice = changed(PASSPORT, division="Novice")
    scene = planned().given(YOUTH, NOVICE, PASSPORT, of_novice, other)
    assert [each.division for each in scene.state.evidence.values()] == ["Novice"]
    scene.given(ask.DropDivision(division="Novice", reason="sha256:no-entries"))
    assert scene.state.evidence == {}


@pytest.mark.parametrize("asked", [YOUTH, OF_CLASS, PASSPORT, NO_PASSPORT])
def test_a_show_that_is_not_planned_has_no_divisions(asked: Command) -> None:
    Scene().refuses(asked, "show_not_planned", None)
