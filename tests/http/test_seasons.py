"""Seasons and standings over HTTP: kept by a federation, read by whoever may."""

import csv
import io
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from sqlalchemy import event

from tests.http.house import AWARD, Hand, House, done, refused
from tests.http.house import SEASON as OPENED

SEASON = "/v1/seasons/hill-country-2026"
STANDINGS = f"{SEASON}/standings"
WHY = {"reason": "It was agreed so."}


@pytest.fixture
def federation(house: House) -> Hand:
    """A federation that is bound to itself, whose season counts the house's show."""
    key = done(
        house.office.post(
            "/v1/keys", {"role": "federation", "label": "F", "federation": "hill-country"}
        )
    )
    hand = Hand(house.app.test_client(), key["key"])
    house.open_season(hand)
    return hand


@pytest.fixture
def reckoned(house: House, federation: Hand) -> Hand:
    """The same with an official class: 214 first, 87 and 5 sharing second."""
    house.judge(house.schedule())
    house.make_official("horsemanship")
    house.reckon()
    return federation


def rows(answer: dict[str, Any]) -> list[tuple[int | None, str, float]]:
    return [(row["place"], row["carrier"], row["points"]) for row in answer["rows"]]


# --- the season -----------------------------------------------------------------------------------


def test_a_season_reads_as_it_was_kept(house: House, federation: Hand) -> None:
    house.schedule("trial")
    done(federation.post(f"{SEASON}/left-out", {"class": "trial", **WHY}))
    done(federation.post(f"{SEASON}/members", {"member": "p-lind", "since": "2026-02-01"}))
    season = done(house.public.get(SEASON))
    assert {name: season[name] for name in OPENED} == OPENED
    assert (season["shows"], season["left_out"], season["members"]) == (
        ["three-rivers"],
        ["trial"],
        1,
    )
    (award,) = season["awards"]
    assert award["points"]["id"] == "ihsa-individual"
    table = done(house.public.get(f"/v1/points-tables/{award['points']['digest']}"))
    assert table["table"]["sizes"] == [{"entries_from": 1, "points": [7, 5, 4, 3, 2, 1]}]
    assert award["best_of"] is None
    assert [each["id"] for each in done(house.public.get("/v1/seasons"))["items"]] == [
        "hill-country-2026"
    ]


def test_a_season_may_ask_for_classes_and_weigh_its_categories(federation: Hand) -> None:
    award = AWARD | {
        "award": "youth",
        "categories": [{"name": "All classes", "weight": "1/3"}],
        "minimum_classes": 4,
        "eligible_divisions": ["youth"],
        "ties": ["most_top_tens"],
    }
    done(federation.post(f"{SEASON}/awards", award))
    [_, found] = done(federation.get(SEASON))["awards"]
    asked = ("minimum_classes", "eligible_divisions", "ties")
    assert {name: found[name] for name in asked} == {name: award[name] for name in asked}
    assert found["categories"][0]["weight"] == "1/3"


def test_what_was_done_can_be_undone_and_said_why(house: House, federation: Hand) -> None:
    house.schedule("trial")
    done(federation.post(f"{SEASON}/left-out", {"class": "trial", **WHY}))
    done(federation.post(f"{SEASON}/members", {"member": "h-smoke", "since": "2026-02-01"}))
    done(federation.post(f"{SEASON}/left-out/trial/put-back", WHY))
    done(federation.post(f"{SEASON}/members/h-smoke/strike-off", WHY))
    done(federation.post(f"{SEASON}/shows/three-rivers/drop", WHY))
    done(federation.post(f"{SEASON}/awards/high-point/drop", WHY))
    season = done(federation.get(SEASON))
    assert [season[name] for name in ("left_out", "members", "shows", "awards")] == [[], 0, [], []]


def test_a_season_is_kept_by_federations_alone(house: House, federation: Hand) -> None:
    for hand in (house.office, house.steward, house.public):
        refused(hand.post("/v1/seasons", OPENED), 403, "role_not_allowed")
        refused(hand.post(f"{SEASON}/awards", AWARD), 403, "role_not_allowed")
    del federation


def test_a_key_of_one_federation_keeps_no_season_of_another(house: House, federation: Hand) -> None:
    made = house.office.post(
        "/v1/keys", {"role": "federation", "label": "O", "federation": "lake-country"}
    )
    other = Hand(house.app.test_client(), done(made)["key"])
    refused(other.post("/v1/seasons", OPENED | {"id": "x"}), 403, "other_federation")
    refused(other.post(f"{SEASON}/shows/three-rivers/drop", WHY), 403, "other_federation")
    refused(other.post(f"{SEASON}/awards", AWARD), 403, "other_federation")
    assert done(other.get(SEASON))["federation"] == "hill-country"
    done(house.federation.post(f"{SEASON}/shows/three-rivers/drop", WHY))  # bound to none
    del federation


def test_only_a_federations_key_is_bound_to_one(house: House) -> None:
    body = {"role": "steward", "label": "S", "federation": "hill-country"}
    assert refused(house.office.post("/v1/keys", body), 422, "key_not_bound")["field"] == (
        "federation"
    )


def test_a_key_of_one_show_reads_no_season(house: House, federation: Hand) -> None:
    bound = house.hand("office", show="three-rivers")
    for path in (SEASON, "/v1/seasons", f"{STANDINGS}?award=high-point", f"{SEASON}/changes"):
        refused(bound.get(path), 403, "other_show")
    del federation


@pytest.mark.parametrize(
    ("path", "body", "status", "code", "field"),
    [
        ("shows", {"show": "nowhere"}, 404, "unknown_show", None),
        ("left-out", {"class": "none", **WHY}, 422, "class_not_counted", "class"),
        ("members", {"member": "x", "since": "2026-01-01"}, 422, "member_not_registered", "member"),
        ("awards", AWARD | {"points": "nonsense"}, 422, "points_table_not_shipped", "points"),
        ("awards", AWARD | {"points": {"sizes": 1}}, 422, "points_table_refused", "points"),
        ("awards", AWARD | {"best_of": 3}, 422, "reason_missing", "reason"),
        ("awards", AWARD | {"ties": ["a-coin"]}, 422, "invalid", "ties[0]"),
        ("awards", AWARD | {"award": "Best!"}, 422, "invalid", "award"),
        ("awards", AWARD | {"award": "b", "minimum_categories": 2}, 422, "minimum_unreachable",
         "minimum_categories"),
    ],
)  # fmt: skip
def test_what_cannot_be_kept_is_refused_by_the_field(
    federation: Hand, path: str, body: object, status: int, code: str, field: str | None
) -> None:
    problem = refused(federation.post(f"{SEASON}/{path}", body), status, code)
    assert problem.get("field") == field


def test_an_erased_person_is_not_enrolled(house: House, federation: Hand) -> None:
    done(house.office.delete("/v1/people/p-lind"))
    body = {"member": "p-lind", "since": "2026-01-01"}
    refused(federation.post(f"{SEASON}/members", body), 409, "person_erased")


def test_an_award_may_be_counted_by_a_table_of_its_own(house: House, reckoned: Hand) -> None:
    own = {
        "id": "ours",
        "edition": "2026",
        "title": "Ours",
        "source": "the federation's own",
        "beaten": {"per_entry": 0.5, "winner": 1},
    }
    done(reckoned.post(f"{SEASON}/awards", AWARD | {"award": "own", "points": own}))
    house.reckon()
    found = done(reckoned.get(f"{STANDINGS}?award=own"))
    assert rows(found) == [(1, "p-lind", 2), (2, "p-falk", 0.25), (2, "p-nord", 0.25)]
    assert [row["exact"] for row in found["rows"]] == ["2", "1/4", "1/4"]
    table = done(reckoned.get(f"/v1/points-tables/{found['points']['digest']}"))
    assert table["table"]["beaten"] == {"per_entry": 0.5, "winner": 1}


def test_members_are_listed_page_by_page_with_their_names(house: House, federation: Hand) -> None:
    for member in ("p-lind", "h-smoke", "p-falk"):
        done(federation.post(f"{SEASON}/members", {"member": member, "since": "2026-02-01"}))
    found = list(pages(federation, f"{SEASON}/members?limit=2", "items"))
    assert [(each["member"], each["person"] and each["person"]["name"]) for each in found] == [
        ("h-smoke", None),
        ("p-falk", "Ida Falk"),
        ("p-lind", "Karin Lind"),
    ]
    assert found[0]["horse"] == {"id": "h-smoke", "name": "Smoke Over Willow"}
    refused(house.public.get(f"{SEASON}/members"), 403, "role_not_allowed")


def pages(hand: Hand, address: str | None, name: str) -> Iterator[dict[str, Any]]:
    """Everything in a list that is read by its links."""
    while address:
        answer = hand.get(address)
        yield from done(answer)[name]
        link = answer.headers.get("Link")
        address = link and link.removeprefix("<").removesuffix('>; rel="next"')


# --- standings ------------------------------------------------------------------------------------


def test_standings_name_everybody_and_explain_every_point(house: House, reckoned: Hand) -> None:
    found = done(reckoned.get(f"{STANDINGS}?award=high-point"))
    assert rows(found) == [(1, "p-lind", 7), (2, "p-falk", 4.5), (2, "p-nord", 4.5)]
    assert (found["name"], found["size"], found["next"]) == ("High point", 3, None)
    assert "lines" not in found["rows"][0]
    (row,) = done(reckoned.get(f"{STANDINGS}?award=high-point&carrier=p-falk"))["rows"]
    assert row["rider"] == {"id": "p-falk", "name": "Ida Falk"}
    assert (row["horse"], row["tied"], row["exact"]) == (None, True, "9/2")
    assert row["categories"] == [{"name": "All classes", "points": 4.5, "exact": "9/2"}]
    (line,) = row["lines"]
    assert line["says"] == "2nd in a class of 3, shared by 2: (5 + 4) / 2 = 4.5."
    assert (line["class"], line["show"], line["revision"]) == ("horsemanship", "three-rivers", 1)
    assert line["places"] == [{"place": 2, "points": 5}, {"place": 3, "points": 4}]
    assert line["horse"] == {"id": "h-little", "name": "Little Dun Dee"}
    assert line["judges"] == [{"id": "p-ames", "name": "Judith Ames"}]
    assert (line["total"], line["back_number"], line["counts"]) == (72, 87, True)
    official = house.desk.log.read("class-horsemanship")[-1]
    assert (line["version"], line["position"]) == (official.version, official.position)
    every = done(reckoned.get(f"{STANDINGS}?award=high-point&lines=true"))["rows"]
    assert [len(each["lines"]) for each in every] == [1, 1, 1]


def test_a_pair_is_named_by_both(house: House, reckoned: Hand) -> None:
    done(reckoned.post(f"{SEASON}/awards", AWARD | {"award": "pairs", "carrier": "pair"}))
    house.reckon()
    (row,) = done(reckoned.get(f"{STANDINGS}?award=pairs&carrier=p-lind%2Bh-smoke"))["rows"]
    assert (row["rider"]["name"], row["horse"]["name"]) == ("Karin Lind", "Smoke Over Willow")


def test_a_long_standing_is_read_page_by_page_as_of_one_moment(
    house: House, reckoned: Hand
) -> None:
    first = reckoned.get(f"{STANDINGS}?award=high-point&limit=2")
    link = first.headers["Link"].removeprefix("<").removesuffix('>; rel="next"')
    house.judge(house.schedule("second"))
    house.make_official("second")
    house.reckon()
    assert rows(done(first)) + rows(done(reckoned.get(link))) == [
        (1, "p-lind", 7),
        (2, "p-falk", 4.5),
        (2, "p-nord", 4.5),
    ]
    assert rows(done(reckoned.get(f"{STANDINGS}?award=high-point")))[0] == (1, "p-lind", 14)


def test_an_unchanged_standing_costs_a_304_and_one_query(house: House, reckoned: Hand) -> None:
    first = reckoned.get(f"{STANDINGS}?award=high-point")
    asked: list[str] = []

    def listen(connection: Any, *_: object) -> None:  # noqa: ANN401 - as the driver hands it over
        connection.set_trace_callback(asked.append)

    event.listen(house.desk.database.engine, "checkout", listen)
    known = {"If-None-Match": first.headers["ETag"]}
    again = reckoned.get(f"{STANDINGS}?award=high-point", headers=known)
    assert (again.status_code, again.data) == (304, b"")
    assert again.headers["ETag"] == first.headers["ETag"]
    key, standing = asked
    assert "api_key" in key
    assert "standing_turn" in standing


def test_the_tag_is_another_once_results_a_name_or_the_form_is_another(
    house: House, reckoned: Hand
) -> None:
    def tag(accept: str = "application/json") -> str:
        answer = reckoned.get(f"{STANDINGS}?award=high-point", headers={"Accept": accept})
        assert {"Accept", "Authorization"} <= set(answer.headers["Vary"].split(", "))
        return answer.headers["ETag"]

    first = tag()
    assert tag("text/csv") != first
    done(house.office.put("/v1/people/p-falk", {"name": "Ida Falk-Berg"}))
    second = tag()
    house.judge(house.schedule("second"))
    house.make_official("second")
    house.reckon()
    third = tag()
    assert len({first, second, third}) == 3
    house.schedule("third")
    house.reckon()
    assert tag() == third


def test_an_erased_rider_reads_withheld_and_keeps_the_points(house: House, reckoned: Hand) -> None:
    first = reckoned.get(f"{STANDINGS}?award=high-point")
    done(house.office.delete("/v1/people/p-lind"))
    known = {"If-None-Match": first.headers["ETag"]}
    found = done(reckoned.get(f"{STANDINGS}?award=high-point", headers=known))
    assert found["rows"][0]["rider"] == {"id": "p-lind", "name": "withheld"}
    assert rows(found) == rows(done(first))


def test_standings_are_read_as_of_a_position_a_time_or_a_day(house: House, reckoned: Hand) -> None:
    now = done(reckoned.get(f"{STANDINGS}?award=high-point"))
    house.judge(house.schedule("second"))
    house.make_official("second")
    house.reckon()
    latest = done(reckoned.get(f"{STANDINGS}?award=high-point"))
    today = datetime.now(UTC).date()
    for as_of, wanted in {
        f"{now['position']}": now,
        f"{latest['position'] - 1}": now,
        now["turned_at"].replace("+", "%2B"): now,
        f"{latest['position']}": latest,
        latest["turned_at"]: latest,
        f"{today}": latest,
    }.items():
        found = done(reckoned.get(f"{STANDINGS}?award=high-point&as_of={as_of}"))
        assert found == wanted, as_of
    before = today - timedelta(days=1)
    path = f"{STANDINGS}?award=high-point&as_of={before}"
    refused(reckoned.get(path), 404, "unknown_award")


@pytest.mark.parametrize(
    ("query", "status", "code", "field"),
    [
        ("", 422, "invalid", "award"),
        ("award=best", 404, "unknown_award", None),
        ("award=high-point&as_of=yesterday", 422, "invalid", "as_of"),
        ("award=high-point&as_of=2026-02-30", 422, "invalid", "as_of"),
        ("award=high-point&as_of=2999-01-01", 422, "moment_unknown", "as_of"),
        ("award=high-point&as_of=2999-01-01T00:00:00Z", 422, "moment_unknown", "as_of"),
        ("award=high-point&as_of=999999999", 422, "moment_unknown", "as_of"),
        ("award=high-point&as_of=0", 404, "unknown_award", None),
        ("award=high-point&carrier=p-ames", 404, "carrier_not_shown", "carrier"),
        ("award=high-point&carrier=a%20b", 422, "invalid", "carrier"),
        ("award=high-point&lines=perhaps", 422, "invalid", "lines"),
        ("award=high-point&after=x", 422, "cursor_unknown", "after"),
    ],
)
def test_a_standing_that_cannot_be_read_says_why(
    reckoned: Hand, query: str, status: int, code: str, field: str | None
) -> None:
    problem = refused(reckoned.get(f"{STANDINGS}?{query}"), status, code)
    assert problem.get("field") == field


def test_what_is_asked_of_no_season_is_told_so(house: House) -> None:
    for path in ("", "/standings?award=a", "/standings.csv?award=a", "/changes", "/members",
                 "/standings/moves?award=a&from=0"):  # fmt: skip
        refused(house.federation.get(f"/v1/seasons/none{path}"), 404, "unknown_season")
    refused(house.federation.post("/v1/seasons/none/shows", {"show": "x"}), 404, "unknown_season")
    refused(house.federation.post("/v1/seasons/none/awards", AWARD), 404, "unknown_season")


def test_a_moment_that_is_not_reckoned_yet_is_put_off_and_now_is_answered(
    house: House, reckoned: Hand
) -> None:
    now = done(reckoned.get(f"{STANDINGS}?award=high-point"))
    house.schedule("second")
    moment = datetime.now(UTC).isoformat().replace("+00:00", "Z")
    head = house.desk.log.head().position
    for as_of in (moment, head, datetime.now(UTC).date()):
        answer = reckoned.get(f"{STANDINGS}?award=high-point&as_of={as_of}")
        assert refused(answer, 503, "standings_behind")["facts"]["position"] < head
    assert done(reckoned.get(f"{STANDINGS}?award=high-point")) == now


def test_before_any_worker_has_run_there_are_no_standings(federation: Hand) -> None:
    refused(federation.get(f"{STANDINGS}?award=high-point"), 404, "unknown_award")
    refused(federation.get(f"{STANDINGS}?award=high-point&as_of=1"), 503, "standings_behind")


def test_a_dropped_award_is_read_only_as_of_before(house: House, reckoned: Hand) -> None:
    before = done(reckoned.get(f"{STANDINGS}?award=high-point"))
    done(reckoned.post(f"{SEASON}/awards/high-point/drop", WHY))
    house.reckon()
    refused(reckoned.get(f"{STANDINGS}?award=high-point"), 404, "unknown_award")
    path = f"{STANDINGS}?award=high-point&as_of={before['position']}"
    assert done(reckoned.get(path)) == before


# --- as tables ------------------------------------------------------------------------------------


def test_standings_are_a_table_by_suffix_or_by_accept(house: House, reckoned: Hand) -> None:
    done(house.office.put("/v1/people/p-nord", {"name": "=Per(1)"}))
    asked = reckoned.get(f"{STANDINGS}?award=high-point", headers={"Accept": "text/csv"})
    file = reckoned.get(f"{STANDINGS}.csv?award=high-point")
    assert asked.data == file.data
    assert file.mimetype == "text/csv"
    assert file.headers["Content-Disposition"] == (
        'attachment; filename="standings-hill-country-2026-high-point.csv"'
    )
    found = list(csv.DictReader(io.StringIO(file.text)))
    assert [(row["place"], row["rider"], row["points"], row["exact"]) for row in found] == [
        ("1", "Karin Lind", "7", "7"),
        ("2", "Ida Falk", "4.5", "9/2"),
        ("2", "'=Per(1)", "4.5", "9/2"),
    ]
    assert found[0]["categories"] == "All classes 7"
    known = {"If-None-Match": file.headers["ETag"]}
    assert reckoned.get(f"{STANDINGS}.csv?award=high-point", headers=known).status_code == 304
    one = reckoned.get(f"{STANDINGS}.csv?award=high-point&carrier=p-falk")
    assert len(one.text.splitlines()) == 2


# --- what moved -----------------------------------------------------------------------------------


def _correct(house: House) -> None:
    """214 is put down to 71 after results were official, and falls behind the other two."""
    path = "/v1/classes/horsemanship"
    done(house.office.post(f"{path}/results/reopen", {"authority": "office_error", **WHY}))
    card = done(house.office.get(f"{path}/cards/A"))
    (ride,) = (ride for ride in card["rides"] if ride["back_number"] == 214)
    correction = {
        "seat": "A",
        "back_number": 214,
        "authority": "office_error",
        "replaces": ride["marks"][0]["version"],
        "fact": {"kind": "mark", "maneuver": 1, "mark": -2},
        **WHY,
    }
    done(house.office.post(f"{path}/corrections", correction))
    house.make_official("horsemanship")


def test_a_correction_moves_standings_and_every_move_is_told(house: House, reckoned: Hand) -> None:
    before = done(reckoned.get(f"{STANDINGS}?award=high-point"))
    _correct(house)
    house.reckon()
    after = done(reckoned.get(f"{STANDINGS}?award=high-point"))
    assert rows(after) == [(1, "p-falk", 6), (1, "p-nord", 6), (3, "p-lind", 4)]
    span = f"from={before['position']}&to={after['position']}"
    path = f"{STANDINGS}/moves?award=high-point&{span}&limit=2"
    moves = list(pages(reckoned, path, "moves"))
    assert [(m["carrier"], m["before"]["place"], m["after"]["place"]) for m in moves] == [
        ("p-falk", 2, 1),
        ("p-nord", 2, 1),
        ("p-lind", 1, 3),
    ]
    (line,) = moves[2]["lines"]
    assert (line["before"]["place"], line["before"]["revision"]) == (1, 1)
    assert (line["after"]["place"], line["after"]["revision"]) == (3, 2)
    assert line["after"]["says"] == "3rd in a class of 3: 4."
    assert moves[2]["rider"]["name"] == "Karin Lind"
    quiet = f"{STANDINGS}/moves?award=high-point&from={after['position']}"
    assert done(reckoned.get(quiet))["moves"] == []


def test_the_changes_of_a_season_say_what_caused_them_and_why(house: House, reckoned: Hand) -> None:
    anew = AWARD | {"points": "gchsc-high-point", **WHY}
    done(reckoned.post(f"{SEASON}/awards", anew))
    done(reckoned.post(f"{SEASON}/awards", AWARD | {"award": "horses", "carrier": "horse"}))
    house.reckon()
    found = list(pages(reckoned, f"{SEASON}/changes?limit=1", "items"))
    assert [(each["award"], each["cause"], each["opened"], each["closed"]) for each in found] == [
        ("high-point", "season.award_defined", 0, 0),
        ("high-point", "results.made_official", 3, 0),
        ("high-point", "season.award_defined", 3, 3),
        ("horses", "season.award_defined", 3, 0),
    ]
    early = "Everybody has seen the cards."
    assert [each["reason"] for each in found] == [None, early, "It was agreed so.", None]
    assert found[1]["stream"] == "class-horsemanship"
    withheld = done(house.public.get(f"{SEASON}/changes?award=high-point"))["items"]
    assert [each["reason"] for each in withheld] == [None, "withheld", "withheld"]
    refused(reckoned.get(f"{SEASON}/changes?after=x"), 422, "invalid")


def test_moments_in_the_wrong_order_and_an_award_of_no_moment_are_refused(reckoned: Hand) -> None:
    at = done(reckoned.get(f"{STANDINGS}?award=high-point"))["position"]
    path = f"{STANDINGS}/moves?award=high-point&from={at}&to={at - 1}"
    assert refused(reckoned.get(path), 422, "moments_reversed")["field"] == "from"
    path = f"{STANDINGS}/moves?award=best&from=0"
    refused(reckoned.get(path), 404, "unknown_award")


def test_from_before_an_award_was_defined_everything_came(reckoned: Hand) -> None:
    moves = done(reckoned.get(f"{STANDINGS}/moves?award=high-point&from=0"))["moves"]
    assert [(move["before"], move["after"]["points"]) for move in moves] == [
        (None, 7),
        (None, 4.5),
        (None, 4.5),
    ]


# --- points tables --------------------------------------------------------------------------------


def test_shipped_points_tables_are_listed_and_read(house: House) -> None:
    listed = done(house.public.get("/v1/points-tables"))["items"]
    assert "gchsc-high-point" in {each["id"] for each in listed}
    for each in listed:
        found = done(house.public.get(f"/v1/points-tables/{each['id']}"))
        assert found["digest"] == each["digest"]
        assert done(house.public.get(f"/v1/points-tables/{each['digest']}")) == found
    refused(house.public.get("/v1/points-tables/none"), 404, "unknown_points_table")
    refused(house.public.get(f"/v1/points-tables/sha256:{'0' * 64}"), 404, "unknown_points_table")


def test_seasons_are_found_by_their_federation(federation: Hand) -> None:
    assert done(federation.get("/v1/seasons?federation=somebody-else"))["items"] == []
    [found] = done(federation.get("/v1/seasons?federation=hill-country"))["items"]
    assert found["federation"] == "hill-country"
