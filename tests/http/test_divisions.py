"""Divisions of a show and of its classes."""

from typing import Any

import pytest

from tests.http.agreeing import agree
from tests.http.house import House, done, refused

SHOW = "/v1/shows/three-rivers"
DIVISIONS = f"{SHOW}/divisions"
PATH = "/v1/classes/horsemanship"
YOUTH = {
    "division": "Youth",
    "terms": {"rider_age": {"highest": 18, "on": {"kind": "same_year", "month_day": "01-01"}}},
}
OPEN = {"division": "Open", "terms": {}}
GREEN = {
    "division": "Green",
    "terms": {
        "horse_age": {"lowest": 3, "highest": 5, "southern_year_begins": "08-01"},
        "horse_levels": {"levels": ["green"], "discipline": "trail"},
        "horse_sexes": ["mare", "gelding"],
        "rider_levels": {"levels": ["novice"], "on": {"kind": "given", "day": "2026-01-01"}},
        "member_of": "Hill Country",
    },
}


def entry(number: int = 31, **more: Any) -> dict[str, Any]:  # noqa: ANN401 - as JSON has it
    return {"back_number": number, "exhibitor": "p-lind", "horse": "h-smoke", **more}


def scheduled(house: House) -> None:
    body = {"id": "horsemanship", "name": "Open", "rulebook": "western-horsemanship"}
    done(house.office.post(f"{SHOW}/classes", body))


def test_anybody_reads_what_a_division_asks(house: House) -> None:
    assert house.public.get(DIVISIONS).get_json()["divisions"] == []
    for body in (YOUTH, OPEN, GREEN):
        done(house.office.post(DIVISIONS, body))
    for hand in (house.office, house.public, house.federation):
        found = agree(hand.get(DIVISIONS), "/v1/shows/three-rivers/divisions")
        green, opened, youth = found["divisions"]
        assert youth["terms"]["rider_age"] == {
            "lowest": None,
            "highest": 18,
            "on": {"kind": "same_year", "month_day": "01-01", "day": None},
        }
        assert green["terms"]["horse_age"]["year_begins"] == "01-01"
        assert green["terms"]["rider_levels"]["on"]["day"] == "2026-01-01"
        assert opened["terms"]["horse_sexes"] == []


def test_a_division_changes_for_a_reason_that_not_everybody_reads(house: House) -> None:
    done(house.office.post(DIVISIONS, YOUTH))
    other = {"division": "Youth", "terms": {"rider_age": {"highest": 19}}}
    refused(house.office.post(DIVISIONS, other), 422, "division_defined_already")
    done(house.office.post(DIVISIONS, {**other, "reason": "The schedule was misprinted."}))
    [youth] = agree(house.steward.get(DIVISIONS), "/v1/shows/three-rivers/divisions")["divisions"]
    assert youth["reason"] == "The schedule was misprinted."
    assert house.public.get(DIVISIONS).get_json()["divisions"][0]["reason"] == "withheld"


@pytest.mark.parametrize(
    ("terms", "code", "field"),
    [
        ({"rider_age": {}}, "age_without_limit", "terms.rider_age"),
        ({"rider_age": {"lowest": 19, "highest": 18}}, "ages_reversed", "terms.rider_age.lowest"),
        (
            {"rider_age": {"highest": 18, "on": {"kind": "year_before"}}},
            "day_counted_unclear",
            "terms.rider_age.on.month_day",
        ),
        (
            {"horse_age": {"highest": 5, "year_begins": "02-29"}},
            "day_not_every_year",
            "terms.horse_age.year_begins",
        ),
        ({"horse_levels": {"levels": []}}, "invalid", "terms.horse_levels.levels"),
        ({"shoe_size": 5}, "invalid", "terms.shoe_size"),
    ],
)
def test_terms_that_cannot_be_read_are_refused_by_their_field(
    house: House, terms: dict[str, Any], code: str, field: str
) -> None:
    problem = refused(
        house.office.post(DIVISIONS, {"division": "Youth", "terms": terms}), 422, code
    )
    assert problem["field"] == field


def test_entries_name_the_divisions_that_the_show_defines(house: House) -> None:
    scheduled(house)
    done(house.office.post(f"{PATH}/entries", entry(30, divisions=["whatever"])))
    done(house.office.post(DIVISIONS, OPEN))
    problem = refused(
        house.office.post(f"{PATH}/entries", entry(divisions=["Open", "Opne"])),
        422,
        "division_not_defined",
    )
    assert problem["field"] == "divisions[1]"
    assert problem["detail"] == "The show defines no division Opne; it defines: Open."
    assert problem["facts"]["defined"] == ["Open"]
    assert len(problem["errors"]) == 1
    done(house.office.post(f"{PATH}/entries", entry(divisions=["Open"])))
    drop = {"division": "Open", "reason": "Nobody rides in it."}
    done(house.office.post(f"{DIVISIONS}/drop", drop))
    done(house.office.post(f"{PATH}/entries", entry(32, divisions=["whatever"])))


def test_a_class_has_the_divisions_that_were_set_for_it(house: House) -> None:
    scheduled(house)
    of_class = f"{SHOW}/classes/horsemanship/divisions"
    wanted = {"admits": ["Open"], "requires": ["Youth"], "must_name": True}
    refused(house.office.put(of_class, wanted), 422, "division_not_defined")
    for body in (OPEN, YOUTH):
        done(house.office.post(DIVISIONS, body))
    refused(house.office.put(f"{SHOW}/classes/none/divisions", wanted), 404, "unknown_class")
    done(house.office.put(of_class, wanted))
    found = agree(house.public.get(DIVISIONS), "/v1/shows/three-rivers/divisions")
    assert found["classes"] == [{"class_id": "horsemanship", **wanted}]
    done(house.office.put("/v1/people/p-lind/facts", {"born": "2012-05-05"}))
    refused(house.office.post(f"{PATH}/entries", entry()), 422, "division_not_named")
    youth = entry(divisions=["Youth"])
    refused(house.office.post(f"{PATH}/entries", youth), 422, "division_not_admitted")
    done(house.office.post(f"{PATH}/entries", entry(divisions=["Open"])))
    adult = entry(32, exhibitor="p-falk", divisions=["Open"])
    done(house.office.put("/v1/people/p-falk/facts", {"born": "1990-05-05"}))
    problem = refused(house.office.post(f"{PATH}/entries", adult), 422, "rider_too_old")
    assert problem["detail"] == (
        "The rider is 35 on 2026-01-01; Youth admits riders of at most 18."
    )
    drop = {"division": "Youth", "reason": "Nobody rides in it."}
    problem = refused(house.office.post(f"{DIVISIONS}/drop", drop), 409, "division_in_use")
    assert problem["facts"]["class_ids"] == ["horsemanship"]
