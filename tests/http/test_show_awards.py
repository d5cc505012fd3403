"""The awards of a show over HTTP: defined by its office, read by whoever may, settled by a coin."""

import csv
import io
from typing import Any

import pytest

from tests.http.agreeing import agree
from tests.http.house import AWARD, House, done, refused
from tests.http.house import SHOW as SHOWN

SHOW = "/v1/shows/three-rivers"
AWARDS = f"{SHOW}/awards"
HIGH_POINT = f"{AWARDS}/high-point"
STANDING = f"{HIGH_POINT}/standing"
TEMPLATE = "/v1/shows/{show_id}/awards/{award}"
WHY = {"reason": "It was agreed so."}
COIN = {"order": ["p-nord", "p-falk"], "by": "coin", "reason": "Tossed before both of them."}


@pytest.fixture
def awarding(house: House) -> House:
    """An award with an official class: 214 first with 7, 87 and 5 sharing second with 4.5."""
    house.open_award()
    house.judge(house.schedule())
    house.make_official("horsemanship")
    house.reckon()
    return house


def rows(answer: dict[str, Any]) -> list[tuple[int | None, str, float, int | None]]:
    return [(r["place"], r["carrier"], r["points"], r["settled"]) for r in answer["rows"]]


TIED = [(1, "p-lind", 7, None), (2, "p-falk", 4.5, None), (2, "p-nord", 4.5, None)]


def test_an_award_reads_as_it_was_defined(house: House) -> None:
    house.schedule()
    award = AWARD | {
        "points": "mpahc-high-point",
        "categories": [{"name": "All", "champions": ["horsemanship"], "weight": "1/2"}],
        "minimum_classes": 1,
        "eligible_divisions": ["youth"],
        "ties": ["most_beaten", "most_top_tens"],
    }
    done(house.office.post(AWARDS, award))
    [found] = agree(house.public.get(AWARDS), "/v1/shows/{show_id}/awards")["items"]
    assert found["points"]["id"] == "mpahc-high-point"
    assert found["ties"] == ["most_beaten", "most_top_tens"]
    assert (found["minimum_classes"], found["eligible_divisions"]) == (1, ["youth"])
    assert found["categories"] == [
        {
            "name": "All",
            "rulebooks": [],
            "divisions": [],
            "classes": [],
            "champions": ["horsemanship"],
            "weight": "1/2",
        }
    ]
    refused(house.office.post(AWARDS, award | {"best_of": 2}), 422, "reason_missing")
    done(house.office.post(AWARDS, award | {"best_of": 2} | WHY))
    done(house.office.post(f"{HIGH_POINT}/drop", WHY))
    assert done(house.office.get(AWARDS))["items"] == []


@pytest.mark.parametrize(
    ("changes", "code", "field"),
    [
        ({"categories": [{"name": "A", "classes": ["none"]}]}, "class_not_of_show",
         "categories[0].classes[0]"),
        ({"categories": [{"name": "A", "champions": ["none"]}]}, "champions_without_points",
         "categories[0].champions"),
        ({"categories": [{"name": "A", "weight": "0"}]}, "category_weight_unreadable",
         "categories[0].weight"),
        ({"minimum_shows": 1}, "invalid", "minimum_shows"),
        ({"members_only": True}, "invalid", "members_only"),
        ({"points": "none"}, "points_table_not_shipped", "points"),
        ({"minimum_categories": 2}, "minimum_unreachable", "minimum_categories"),
    ],
)  # fmt: skip
def test_what_no_show_can_reckon_is_refused_by_the_field(
    house: House, changes: dict[str, Any], code: str, field: str
) -> None:
    assert refused(house.office.post(AWARDS, AWARD | changes), 422, code)["field"] == field


def test_only_the_office_of_the_show_keeps_its_awards(awarding: House) -> None:
    done(awarding.office.post("/v1/shows", SHOWN | {"id": "another"}))
    bound = awarding.hand("office", show="another")
    for hand, code in (
        (awarding.steward, "role_not_allowed"),
        (awarding.federation, "role_not_allowed"),
        (awarding.public, "role_not_allowed"),
        (bound, "other_show"),
    ):
        for path, body in (
            (AWARDS, AWARD | {"name": "Another"} | WHY),
            (f"{HIGH_POINT}/drop", WHY),
            (f"{HIGH_POINT}/settlements", COIN),
            (f"{HIGH_POINT}/settlements/3/withdraw", WHY),
        ):
            refused(hand.post(path, body), 403, code)
    for path in (AWARDS, STANDING, f"{HIGH_POINT}/moves?from=1"):
        refused(bound.get(path), 403, "other_show")


def test_the_standing_of_a_show_explains_every_point(awarding: House) -> None:
    found = agree(awarding.public.get(f"{STANDING}?lines=true"), f"{TEMPLATE}/standing")
    assert rows(found) == TIED
    assert (found["show"], found["settlements"]) == ("three-rivers", [])
    [line] = found["rows"][1]["lines"]
    assert line["says"] == "2nd in a class of 3, shared by 2: (5 + 4) / 2 = 4.5."
    assert (line["class"], line["place"]) == ("horsemanship", 2)
    log = done(awarding.office.get("/v1/classes/horsemanship/log?limit=200"))
    assert log["items"][line["version"] - 1]["type"] == "results.made_official"
    only = done(awarding.public.get(f"{STANDING}?carrier=p-nord"))
    assert [row["carrier"] for row in only["rows"]] == ["p-nord"]
    refused(awarding.public.get(f"{STANDING}?carrier=p-none"), 404, "carrier_not_shown")


def test_a_long_standing_comes_in_pages_and_as_csv(awarding: House) -> None:
    first = awarding.public.get(f"{STANDING}?limit=2")
    assert [row["carrier"] for row in done(first)["rows"]] == ["p-lind", "p-falk"]
    rest = first.headers["Link"].split(">")[0].strip("<")
    assert [row["carrier"] for row in done(awarding.public.get(rest))["rows"]] == ["p-nord"]
    answer = awarding.public.get(STANDING, headers={"Accept": "text/csv"})
    table = list(csv.DictReader(io.StringIO(answer.text)))
    assert [(row["place"], row["rider"], row["exact"]) for row in table] == [
        ("1", "Karin Lind", "7"), ("2", "Ida Falk", "9/2"), ("2", "Per Nord", "9/2"),
    ]  # fmt: skip


def test_a_coin_settles_a_tie_until_a_correction_moves_the_points_under_it(
    awarding: House,
) -> None:
    before = done(awarding.public.get(STANDING))["position"]
    version = done(awarding.office.post(f"{HIGH_POINT}/settlements", COIN))["version"]
    awarding.reckon()
    found = agree(awarding.office.get(STANDING), f"{TEMPLATE}/standing")
    assert rows(found) == [TIED[0], (2, "p-nord", 4.5, version), (3, "p-falk", 4.5, version)]
    [coin] = found["settlements"]
    assert (coin["by"], coin["order"], coin["stale"]) == ("coin", COIN["order"], None)
    assert (coin["reason"], coin["whose_hand"]) == (COIN["reason"], "a test's office")
    [seen] = done(awarding.public.get(STANDING))["settlements"]
    assert (seen["reason"], seen["whose_hand"]) == ("withheld", "office")
    assert rows(done(awarding.public.get(f"{STANDING}?at={before}"))) == TIED

    settled = found["position"]
    awarding.correct("horsemanship")  # entry 87, Ida Falk, wins from now on
    awarding.reckon()
    after = done(awarding.office.get(STANDING))
    assert rows(after) == [
        (1, "p-falk", 7, None), (2, "p-lind", 5, None), (3, "p-nord", 4, None),
    ]  # fmt: skip
    [coin] = after["settlements"]
    assert coin["stale"] == "points_moved"
    assert coin["basis"] == [
        {"carrier": "p-falk", "exact": "9/2", "now": 7},
        {"carrier": "p-nord", "exact": "9/2", "now": 4},
    ]
    assert rows(done(awarding.public.get(f"{STANDING}?at={settled}"))) == rows(found)
    moves = agree(
        awarding.public.get(f"{HIGH_POINT}/moves?from={settled}&limit=2"), f"{TEMPLATE}/moves"
    )
    assert [
        (each["carrier"], each["before"]["place"], each["after"]["place"])
        for each in moves["moves"]
    ] == [("p-falk", 3, 1), ("p-lind", 1, 2)]
    assert moves["next"] == "2"


def test_a_tie_is_settled_by_lots_and_the_settlement_taken_back(awarding: House) -> None:
    lots = {"order": ["p-falk", "p-nord"], "by": "lots", "seed": "40"}
    version = done(awarding.office.post(f"{HIGH_POINT}/settlements", lots))["version"]
    awarding.reckon()
    found = done(awarding.office.get(STANDING))
    # By hand: the SHA-256 of 40:p-nord begins with c5b0, that of 40:p-falk with d624.
    assert rows(found) == [TIED[0], (2, "p-nord", 4.5, version), (3, "p-falk", 4.5, version)]
    back = f"{HIGH_POINT}/settlements/{version}/withdraw"
    done(awarding.office.post(back, WHY))
    assert done(awarding.office.post(back, WHY))["events"] == 0
    awarding.reckon()
    found = done(awarding.office.get(STANDING))
    assert (rows(found), found["settlements"]) == (TIED, [])
    refused(awarding.office.post(f"{HIGH_POINT}/settlements/1/withdraw", WHY), 404,
            "unknown_settlement")  # fmt: skip


def test_a_settlement_that_is_sent_again_is_answered_as_the_first_time(awarding: House) -> None:
    path = f"{HIGH_POINT}/settlements"
    first = done(awarding.office.post(path, COIN, command="toss-1"))
    awarding.correct("horsemanship")
    awarding.reckon()
    again = done(awarding.office.post(path, COIN, command="toss-1"))
    assert again == first


@pytest.mark.parametrize(
    ("changes", "status", "code", "field"),
    [
        ({"order": ["p-lind", "p-falk"]}, 422, "not_a_tie", "order"),
        ({"order": ["p-lind", "p-falk", "p-nord"]}, 422, "not_a_tie", "order"),
        ({"order": ["p-falk"]}, 422, "invalid", "order"),
        ({"by": "the office"}, 422, "invalid", "by"),
        ({"reason": None}, 422, "invalid", "reason"),
        ({"seed": "7"}, 422, "seed_without_lots", "seed"),
        ({"by": "lots"}, 422, "seed_missing", "seed"),
    ],
)
def test_what_settles_no_tie_is_refused_by_the_field(
    awarding: House, changes: dict[str, Any], status: int, code: str, field: str
) -> None:
    answer = awarding.office.post(f"{HIGH_POINT}/settlements", COIN | changes)
    assert refused(answer, status, code)["field"] == field


def test_what_is_not_there_is_said_not_to_be(awarding: House) -> None:
    other = f"{AWARDS}/all-around"
    refused(awarding.public.get(f"{other}/standing"), 404, "unknown_award")
    refused(awarding.public.get(f"{STANDING}?at=1"), 404, "unknown_award")
    refused(awarding.office.post(f"{other}/settlements", COIN), 404, "unknown_award")
    refused(awarding.public.get("/v1/shows/none/awards/x/standing"), 404, "unknown_show")
    late = refused(awarding.public.get(f"{STANDING}?at=99999"), 422, "moment_unknown")
    assert late["field"] == "at"
    done(awarding.office.post(f"{HIGH_POINT}/drop", WHY))
    awarding.reckon()
    assert (
        "The show has no award"
        in (refused(awarding.public.get(STANDING), 404, "unknown_award")["detail"])
    )


def test_an_award_of_a_show_is_nobodys_season(awarding: House) -> None:
    awarding.work()
    kinds = {each["kind"] for each in done(awarding.office.get("/v1/changes"))["items"]}
    assert {"result_published", "award_moved"} <= kinds
    assert "standing_moved" not in kinds
    assert done(awarding.federation.get("/v1/seasons"))["items"] == []
