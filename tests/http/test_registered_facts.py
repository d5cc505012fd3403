"""What entries are checked by: read and kept by the office, and forgotten with the person."""

from typing import Any

import pytest

from tests.http.agreeing import agree
from tests.http.house import House, done, refused

RIDER = "/v1/people/p-lind/facts"
HORSE = "/v1/horses/h-smoke/facts"
LEVEL = {"level": "novice", "since": "2025-01-01", "discipline": "trail"}
MEMBER = {"body": "Hill Country", "number": "7", "since": "2026-01-01", "until": None}
KNOWN = {"born": "2009-03-14", "levels": [LEVEL], "memberships": [MEMBER]}
FOALED = {
    "foaled": "2021-04-02",
    "foaled_year": None,
    "foaled_in": "northern",
    "sex": "mare",
    "levels": [{**LEVEL, "discipline": None}],
}


def test_nothing_is_known_of_whoever_is_new(house: House) -> None:
    assert agree(house.office.get(RIDER), "/v1/people/{person_id}/facts") == {
        "born": None,
        "levels": [],
        "memberships": [],
    }
    known = agree(house.steward.get(HORSE), "/v1/horses/{horse_id}/facts")
    assert known["foaled"] is None


def test_what_is_kept_is_read_as_it_was_sent(house: House) -> None:
    assert done(house.office.put(RIDER, KNOWN)) == KNOWN
    assert agree(house.steward.get(RIDER), "/v1/people/{person_id}/facts") == KNOWN
    assert done(house.office.put(HORSE, FOALED)) == FOALED
    assert agree(house.steward.get(HORSE), "/v1/horses/{horse_id}/facts") == FOALED
    assert done(house.office.put(RIDER, {}))["born"] is None


@pytest.mark.parametrize("path", [RIDER, HORSE])
def test_nobody_but_the_office_and_the_steward_reads_what_is_known(house: House, path: str) -> None:
    for hand in (house.federation, house.public, house.scribe("A")):
        refused(hand.get(path), 403, "role_not_allowed")
        refused(hand.put(path, {}), 403, "role_not_allowed")
    refused(house.steward.put(path, {}), 403, "role_not_allowed")


@pytest.mark.parametrize(
    ("path", "body", "code", "field"),
    [
        (RIDER, {"born": "1899-12-31"}, "birth_out_of_reach", "born"),
        (RIDER, {"born": "2999-01-01"}, "birth_out_of_reach", "born"),
        (RIDER, {"born": "14.3.2009"}, "invalid", "born"),
        (RIDER, {"levels": [LEVEL, {**LEVEL, "discipline": "Trail "}]}, "level_begun_twice",
         "levels[1].since"),
        (RIDER, {"memberships": [{**MEMBER, "until": "2025-12-31"}]}, "days_reversed",
         "memberships[0].until"),
        (HORSE, {"foaled": "1899-12-31"}, "birth_out_of_reach", "foaled"),
        (HORSE, {"foaled_year": 1899}, "birth_out_of_reach", "foaled_year"),
        (HORSE, {"foaled_year": 2999}, "birth_out_of_reach", "foaled_year"),
        (HORSE, {"foaled": "2021-04-02", "foaled_year": 2020}, "foaling_contradicted",
         "foaled_year"),
        (HORSE, {"levels": [LEVEL, LEVEL]}, "level_begun_twice", "levels[1].since"),
        (HORSE, {"sex": "colt"}, "invalid", "sex"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_by_its_field_and_changes_nothing(
    house: House, path: str, body: dict[str, Any], code: str, field: str
) -> None:
    done(house.office.put(RIDER, KNOWN))
    before = house.office.get(path).get_json()
    assert refused(house.office.put(path, body), 422, code)["field"] == field
    assert house.office.get(path).get_json() == before


def test_nothing_is_known_of_who_is_not_registered(house: House) -> None:
    for hand in (house.office.get, house.office.put):
        refused(hand("/v1/people/p-nobody/facts", {}), 404, "unknown_person")
        refused(hand("/v1/horses/h-nobody/facts", {}), 404, "unknown_horse")


def test_whoever_is_erased_is_known_by_nothing_any_more(house: House) -> None:
    done(house.office.put(RIDER, KNOWN))
    done(house.office.delete("/v1/people/p-lind"))
    assert house.office.get(RIDER).get_json()["born"] is None
    refused(house.office.put(RIDER, KNOWN), 409, "person_erased")


def test_a_corrected_name_leaves_what_is_known_alone(house: House) -> None:
    done(house.office.put(RIDER, KNOWN))
    done(house.office.put("/v1/people/p-lind", {"name": "Karin Lindh"}))
    assert house.office.get(RIDER).get_json() == KNOWN
