"""Who is entered in which division: checked at entry, on evidence, and again in a dispute."""

from typing import Any

import pytest

from events.envelope import stream_of
from tests.http.agreeing import agree
from tests.http.house import SHOW as AN_OPEN_SHOW
from tests.http.house import House, done, refused
from tests.http.test_divisions import DIVISIONS, GREEN, OPEN, PATH, SHOW, YOUTH, entry, scheduled

EVIDENCE = f"{SHOW}/evidence"
ENTRIES = f"{PATH}/entries"
ELIGIBILITY = f"{PATH}/eligibility"
PASSPORT = {"division": "Youth", "exhibitor": "p-lind", "reason": "A passport was shown."}
UNKNOWN = (
    "The registry holds no date of birth of the rider; Youth admits riders of at most 18 on "
    "2026-01-01."
)
YOUNG_HORSES = {"division": "Green", "terms": {"horse_age": {"lowest": 3, "highest": 5}}}


@pytest.fixture(params=["house", pytest.param("postgres_house", marks=pytest.mark.postgres)])
def either(request: pytest.FixtureRequest) -> House:
    found: House = request.getfixturevalue(request.param)
    divided(found)
    return found


@pytest.fixture
def office(house: House) -> House:
    divided(house)
    return house


def divided(house: House) -> None:
    """A class, at a show that defines three divisions."""
    scheduled(house)
    for body in (YOUTH, OPEN, YOUNG_HORSES):
        done(house.office.post(DIVISIONS, body))


def born(house: House, rider: str, day: str) -> None:
    done(house.office.put(f"/v1/people/{rider}/facts", {"born": day}))


def foaled(house: House, horse: str, year: int) -> None:
    done(house.office.put(f"/v1/horses/{horse}/facts", {"foaled_year": year}))


def standing(house: House, query: str = "") -> list[tuple[int, str, list[str]]]:
    """Back number, standing and codes of every reason against each entry, as the steward reads."""
    found = agree(house.steward.get(ELIGIBILITY + query), "/v1/classes/horsemanship/eligibility")
    return [
        (
            each["back_number"],
            each["standing"],
            [reason["code"] for part in each["divisions"] for reason in part["reasons"]],
        )
        for each in found["items"]
    ]


def test_an_entry_is_checked_by_what_the_registry_holds(either: House) -> None:
    born(either, "p-lind", "2007-01-01")
    problem = refused(either.office.post(ENTRIES, entry(divisions=["Youth"])), 422, "rider_too_old")
    assert problem["field"] == "exhibitor"
    assert problem["rule"] == "the show's division Youth"
    assert problem["detail"] == "The rider is 19 on 2026-01-01; Youth admits riders of at most 18."
    assert problem["facts"]["age"] == 19
    born(either, "p-lind", "2007-01-02")
    done(either.office.post(ENTRIES, entry(divisions=["Youth"])))
    assert standing(either) == [(31, "eligible", [])]


def test_every_reason_is_told_at_once(office: House) -> None:
    problem = refused(
        office.office.post(ENTRIES, entry(divisions=["Youth", "Green", "Opne"])),
        422,
        "rider_birth_unknown",
    )
    assert [each["field"] for each in problem["errors"]] == ["exhibitor", "horse", "divisions[2]"]
    assert problem["facts"]["missing"] == "born"


def test_what_was_entered_before_and_is_entered_again_is_so_already(office: House) -> None:
    born(office, "p-lind", "2010-01-01")
    body = entry(entry="e31", divisions=["Youth"])
    done(office.office.post(ENTRIES, body, command="once"))
    born(office, "p-lind", "1990-01-01")
    assert done(office.office.post(ENTRIES, body, command="once"))["events"] == 1
    assert done(office.office.post(ENTRIES, body))["events"] == 0


def test_an_event_holds_nothing_of_what_is_known(office: House) -> None:
    born(office, "p-lind", "2009-03-14")
    foaled(office, "h-smoke", 2022)
    done(office.office.post(ENTRIES, entry(divisions=["Youth", "Green"])))
    done(office.office.post(EVIDENCE, PASSPORT))
    kept = b"".join(
        repr(read.data).encode()
        for stream in (stream_of("class", "horsemanship"), stream_of("show", "three-rivers"))
        for read in office.desk.log.read(stream)
    )
    assert b"p-lind" in kept
    for known in (b"2009", b"2022", b"passport"):
        assert known not in kept


def test_another_horse_is_checked_and_the_rider_is_not_checked_again(office: House) -> None:
    born(office, "p-lind", "2010-01-01")
    foaled(office, "h-smoke", 2022)
    foaled(office, "h-little", 2012)
    foaled(office, "h-copper", 2021)
    done(office.office.post(ENTRIES, entry(divisions=["Youth", "Green"])))
    born(office, "p-lind", "1990-01-01")
    change = {"kind": "change_horse", "back_number": 31}
    [old] = office.office.act("horsemanship", {**change, "horse": "h-little"})
    assert old["problem"]["code"] == "horse_too_old"
    assert old["problem"]["detail"] == (
        "The horse is 14 on 2026-05-08; Green admits horses from 3 to 5."
    )
    [fits] = office.office.act("horsemanship", {**change, "horse": "h-copper"})
    assert fits["status"] == "accepted"


def test_a_scribe_who_may_change_no_horse_learns_nothing_about_it(office: House) -> None:
    foaled(office, "h-smoke", 2022)
    foaled(office, "h-little", 2012)
    done(office.office.post(ENTRIES, entry(divisions=["Green"])))
    done(office.office.post(f"{PATH}/seats", {"seat": "A", "judge": "p-ames"}))
    change = {"kind": "change_horse", "back_number": 31, "horse": "h-little"}
    [answer] = office.scribe("A").act("horsemanship", change)
    assert answer["problem"]["code"] == "role_not_allowed"


def test_evidence_stands_in_for_what_is_not_known_and_is_on_record(either: House) -> None:
    body = entry(divisions=["Youth"])
    refused(either.office.post(ENTRIES, body), 422, "rider_birth_unknown")
    done(either.steward.post(EVIDENCE, PASSPORT))
    [seen] = agree(either.office.get(EVIDENCE), "/v1/shows/three-rivers/evidence")["items"]
    assert seen["exhibitor"]["name"] == "Karin Lind"
    assert (seen["horse"], seen["reason"]) == (None, "A passport was shown.")
    done(either.office.post(ENTRIES, body))
    assert standing(either) == [(31, "on_evidence", ["rider_birth_unknown"])]
    back = {**PASSPORT, "reason": "It was somebody else's."}
    done(either.office.post(f"{EVIDENCE}/take-back", back))
    assert standing(either) == [(31, "unknown", ["rider_birth_unknown"])]
    assert either.office.get(EVIDENCE).get_json()["items"] == []
    born(either, "p-lind", "1990-01-01")
    assert standing(either) == [(31, "not_eligible", ["rider_too_old"])]


def test_evidence_never_counts_against_what_is_known(office: House) -> None:
    done(office.office.post(EVIDENCE, PASSPORT))
    born(office, "p-lind", "1990-01-01")
    refused(office.office.post(ENTRIES, entry(divisions=["Youth"])), 422, "rider_too_old")


def test_evidence_is_about_somebody_who_is_registered(office: House) -> None:
    nobody = {**PASSPORT, "exhibitor": "p-nobody"}
    refused(office.office.post(EVIDENCE, nobody), 422, "person_not_registered")
    horse = {"division": "Green", "horse": "h-nobody", "reason": "Papers."}
    refused(office.office.post(EVIDENCE, horse), 422, "horse_not_registered")
    both = {**PASSPORT, "horse": "h-smoke"}
    refused(office.office.post(EVIDENCE, both), 422, "invalid")
    undefined = {**PASSPORT, "division": "Novice"}
    refused(office.office.post(EVIDENCE, undefined), 422, "division_not_defined")
    done(office.office.post(EVIDENCE, {"division": "Green", "horse": "h-smoke", "reason": "P."}))
    assert len(office.office.get(EVIDENCE).get_json()["items"]) == 1


def test_the_steward_checks_again_by_what_is_known_now(office: House) -> None:
    born(office, "p-lind", "2010-01-01")
    born(office, "p-falk", "2011-01-01")
    done(office.office.post(ENTRIES, entry(divisions=["Youth"], entry="e31")))
    second = entry(32, exhibitor="p-falk", horse=None, divisions=["Open"], entry="e32")
    done(office.office.post(ENTRIES, second))
    done(office.office.post(ENTRIES, entry(33, exhibitor="p-nord", entry="e33")))
    assert standing(office) == [(31, "eligible", []), (32, "eligible", []), (33, "eligible", [])]
    born(office, "p-lind", "2005-01-01")
    assert standing(office, "?entry=e31") == [(31, "not_eligible", ["rider_too_old"])]
    found = office.steward.get(f"{ELIGIBILITY}?entry=e31").get_json()["items"][0]
    [youth] = found["divisions"]
    assert youth["reasons"][0]["says"] == (
        "The rider is 21 on 2026-01-01; Youth admits riders of at most 18."
    )
    assert youth["reasons"][0]["refuses"] is True
    assert found["checked_at"] == found["show_version"]
    refused(office.steward.get(f"{ELIGIBILITY}?entry=e99"), 422, "unknown_entry")


def test_a_check_may_be_by_the_divisions_as_they_were_at_entry(office: House) -> None:
    born(office, "p-lind", "2010-01-01")
    done(office.office.post(ENTRIES, entry(divisions=["Youth"])))
    narrower = {"division": "Youth", "terms": {"rider_age": {"highest": 13}}}
    done(office.office.post(DIVISIONS, {**narrower, "reason": "Juniors have a class now."}))
    assert standing(office) == [(31, "not_eligible", ["rider_too_old"])]
    assert standing(office, "?as_checked=true") == [(31, "eligible", [])]
    [found] = office.steward.get(f"{ELIGIBILITY}?as_checked=true").get_json()["items"]
    assert found["show_version"] == found["checked_at"]
    [now] = office.steward.get(ELIGIBILITY).get_json()["items"]
    assert now["show_version"] > now["checked_at"]


def test_entries_from_before_the_divisions_were_never_checked(house: House) -> None:
    scheduled(house)
    done(house.office.post(ENTRIES, entry(divisions=["Youth", "Other"])))
    assert standing(house) == [(31, "eligible", [])]
    done(house.office.post(DIVISIONS, YOUTH))
    found = [(31, "not_defined", ["rider_birth_unknown", "division_not_defined"])]
    assert standing(house) == found
    assert standing(house, "?as_checked=true") == found
    [each] = house.office.get(ELIGIBILITY).get_json()["items"]
    assert each["checked_at"] is None


def test_entries_are_those_of_a_moment_and_not_the_scratched(office: House) -> None:
    version = done(office.office.post(ENTRIES, entry(entry="e31")))["version"]
    done(office.office.post(f"{ENTRIES}/e31/scratch", {}))
    assert standing(office) == []
    assert standing(office, f"?at={version}") == [(31, "eligible", [])]
    assert standing(office, "?entry=e31") == [(31, "eligible", [])]
    refused(office.steward.get(f"{ELIGIBILITY}?at=99"), 422, "at_unknown")


def test_the_office_asks_where_a_rider_may_be_entered(office: House) -> None:
    born(office, "p-lind", "2010-01-01")
    path = f"{SHOW}/eligibility?exhibitor=p-lind"
    alone = agree(office.office.get(path), "/v1/shows/three-rivers/eligibility")
    assert [(each["division"], each["standing"]) for each in alone["divisions"]] == [
        ("Green", "not_eligible"),
        ("Open", "eligible"),
        ("Youth", "eligible"),
    ]
    foaled(office, "h-smoke", 2022)
    mounted = office.office.get(f"{path}&horse=h-smoke").get_json()["divisions"]
    assert {each["standing"] for each in mounted} == {"eligible"}
    refused(office.office.get(f"{path}&horse=h-nobody"), 422, "horse_not_registered")
    nobody = f"{SHOW}/eligibility?exhibitor=p-nobody"
    refused(office.office.get(nobody), 422, "person_not_registered")


def test_nobody_else_reads_how_an_entry_stands(office: House) -> None:
    done(office.office.post("/v1/shows", {**AN_OPEN_SHOW, "id": "another"}))
    elsewhere = office.hand("steward", show="another")
    for path in (ELIGIBILITY, EVIDENCE, f"{SHOW}/eligibility?exhibitor=p-lind"):
        for hand in (office.federation, office.public, office.scribe("A")):
            refused(hand.get(path), 403, "role_not_allowed")
        refused(elsewhere.get(path), 403, "other_show")


@pytest.mark.parametrize("dry_run", [True, False])
def test_a_table_is_held_to_the_divisions_row_by_row(office: House, *, dry_run: bool) -> None:
    born(office, "p-lind", "1990-01-01")
    born(office, "p-nord", "2010-01-01")
    foaled(office, "h-copper", 2012)
    rows = (
        "back_number,exhibitor,horse,divisions",
        "31,p-lind,h-smoke,Open; Youth",
        "32,p-falk,h-little,Youth; Yuoth",
        "33,p-nord,h-copper,Youth; Green",
        "34,p-nord,,Youth",
    )
    body: dict[str, Any] = {"csv": "\n".join(rows), "dry_run": dry_run}
    answer = office.office.post(f"{ENTRIES}/import", body)
    if dry_run:
        told = [(each["row"], each["column"], each["says"]) for each in done(answer)["faults"]]
    else:
        errors = refused(answer, 422, "import_refused")["errors"]
        told = [
            (int(each["field"][5]), each["field"].partition(".")[2], each["detail"])
            for each in errors
        ]
    assert told == [
        (2, "exhibitor", "The rider is 36 on 2026-01-01; Youth admits riders of at most 18."),
        (3, "exhibitor", UNKNOWN),
        (3, "divisions", "The show defines no division Yuoth; it defines: Green, Open, Youth."),
        (4, "horse", "The horse is 14 on 2026-05-08; Green admits horses from 3 to 5."),
    ]  # fmt: skip
    assert done(office.office.get(PATH))["entries"] == []
    fits = {"csv": "back_number,exhibitor,divisions\n34,p-nord,Youth"}
    done(office.office.post(f"{ENTRIES}/import", fits))
    [each] = office.office.get(ELIGIBILITY).get_json()["items"]
    assert each["checked_at"] == each["show_version"]


def test_members_are_members_on_the_day_of_the_class(office: House) -> None:
    done(office.office.post(DIVISIONS, {"division": "M", "terms": {"member_of": "Hill Country"}}))
    member = {"memberships": [{"body": "Hill Country", "since": "2026-05-09"}]}
    done(office.office.put("/v1/people/p-lind/facts", member))
    body = entry(divisions=["M"])
    refused(office.office.post(ENTRIES, body), 422, "membership_not_in_force")
    slot = {"ring": "Main ring", "day": "2026-05-09", "slot": 1}
    done(office.office.put(f"{SHOW}/classes/horsemanship/slot", slot))
    done(office.office.post(ENTRIES, body))


def test_terms_of_every_kind_are_checked_through(office: House) -> None:
    done(office.office.post(DIVISIONS, {**GREEN, "reason": "Now as printed."}))
    problem = refused(
        office.office.post(ENTRIES, entry(divisions=["Green"])), 422, "rider_level_unknown"
    )
    assert [each["field"] for each in problem["errors"]] == ["exhibitor"] * 2 + ["horse"] * 3
