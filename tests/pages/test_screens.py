"""What the screens show to whom."""

from datetime import datetime
from zoneinfo import ZoneInfo

import pytest
from flask.testing import FlaskClient

from service.pages.render import COOKIE
from tests.http.house import House, done

CLASS = "/classes/horsemanship"


def text(client: FlaskClient, path: str, status: int = 200) -> str:
    answer = client.get(path)
    assert answer.status_code == status, answer.text
    assert answer.mimetype == "text/html"
    assert "script" not in answer.headers["Content-Security-Policy"]
    return answer.text


def signed_in(house: House, key: str) -> FlaskClient:
    client = house.app.test_client()
    answer = client.post("/sign-in", data={"key": key})
    assert (answer.status_code, answer.headers["Location"]) == (303, "/")
    return client


def test_everybody_sees_shows_and_their_classes_but_no_results_before_they_are_official(
    protested: House,
) -> None:
    visitor = protested.app.test_client()
    assert "Three Rivers" in text(visitor, "/")
    listed = text(visitor, "/shows/three-rivers")
    assert "Horsemanship, open" in listed
    assert f'href="{CLASS}"' not in listed
    assert "not official" in text(visitor, CLASS, 404)


def test_official_results_stand_on_the_noticeboard(protested: House) -> None:
    ruling = {"verdict": "denied", "reason": "It adds up."}
    protested.steward.post("/v1/classes/horsemanship/protests/pr-1/rule", ruling)
    protested.steward.post("/v1/classes/horsemanship/results/make-official", {"reason": "Seen."})
    visitor = protested.app.test_client()
    board = text(visitor, CLASS)
    assert "Karin Lind" in board
    assert "Smoke Over Willow" in board
    assert "Card A" not in board
    assert "why?" not in board


def test_a_steward_looks_at_any_moment_down_to_every_event(protested: House) -> None:
    steward = signed_in(protested, protested.keys["steward"])
    now = text(steward, CLASS)
    assert "Card A" in now
    assert "protest: filed" in now
    earlier = text(steward, f"{CLASS}?at=9")
    assert "after event 9 of" in earlier
    assert "not all marked" in earlier
    why = text(steward, f"{CLASS}/entries/e214?seat=A")
    assert "Base of the scale" in why
    assert "By total 74: place 1" in why
    assert "accuses nobody" in text(steward, f"{CLASS}/audit")


@pytest.mark.parametrize("at", ["9999", "soon", "2199-01-01T00:00:00Z"])
def test_a_moment_that_is_none_is_said_so(protested: House, at: str) -> None:
    steward = signed_in(protested, protested.keys["steward"])
    assert "Not here" in text(steward, f"{CLASS}?at={at}", 404)


def test_the_screens_of_the_steward_are_closed_to_others(protested: House) -> None:
    for client in (protested.app.test_client(), signed_in(protested, protested.keys["public"])):
        assert "sign in first" in text(client, f"{CLASS}/audit", 403)
        assert "sign in first" in text(client, f"{CLASS}/eligibility", 403)
        assert "sign in first" in text(client, f"{CLASS}/entries/e214", 403)


def test_the_steward_sees_who_is_eligible_and_why_others_are_not(house: House) -> None:
    house.schedule()
    show = "/v1/shows/three-rivers"
    terms = {"rider_age": {"highest": 18}}
    steward = signed_in(house, house.keys["steward"])
    assert "Who is eligible" in text(steward, CLASS)
    assert "none" in text(steward, f"{CLASS}/eligibility")
    done(house.office.post(f"{show}/divisions", {"division": "Youth <18", "terms": terms}))
    of_class = {"requires": ["Youth <18"]}
    done(house.office.put(f"{show}/classes/horsemanship/divisions", of_class))
    done(house.office.put("/v1/people/p-lind/facts", {"born": "2007-05-08"}))
    done(house.office.put("/v1/people/p-falk/facts", {"born": "2007-05-09"}))
    seen = text(steward, f"{CLASS}/eligibility")
    assert "Karin Lind, Smoke Over Willow" in seen
    assert "Youth &lt;18, required of all" in seen
    assert "The rider is 19 on 2026-05-08; Youth &lt;18 admits riders of at most 18." in seen
    for standing in ("not eligible", ">eligible", "unknown"):
        assert seen.count(f"{standing}</span>") == 1


def test_a_key_stays_out_of_reach_of_scripts_and_is_forgotten(protested: House) -> None:
    client = protested.app.test_client()
    wrong = client.post("/sign-in", data={"key": "ringfold_0_nobody"})
    assert wrong.status_code == 403
    assert "No key reads like that" in wrong.text
    answer = client.post("/sign-in", data={"key": protested.keys["office"]})
    cookie = answer.headers["Set-Cookie"]
    assert cookie.startswith(f"{COOKIE}=")
    assert "HttpOnly" in cookie
    assert "SameSite=Strict" in cookie
    assert "Sign out" in text(client, "/")
    client.post("/sign-out")
    assert "Sign in" in text(client, "/")


def test_what_people_typed_is_shown_as_text(protested: House) -> None:
    protested.office.post("/v1/people", {"id": "p-x", "name": "<b>Bold</b>"})
    protested.office.post(
        "/v1/shows/three-rivers/classes",
        {"id": "odd", "name": "<i>Odd</i> class", "rulebook": "western-horsemanship", "number": 8},
    )
    listed = text(protested.app.test_client(), "/shows/three-rivers")
    assert "&lt;i&gt;Odd&lt;/i&gt; class" in listed


def test_the_style_sheet_is_the_houses_own(protested: House) -> None:
    answer = protested.app.test_client().get("/pages.css")
    assert answer.mimetype == "text/css"
    assert "url(" not in answer.text


def test_the_steward_sees_on_the_class_what_is_protested(protested: House) -> None:
    steward = signed_in(protested, protested.keys["steward"])
    assert "protest open" in text(steward, CLASS)
    assert "pr-1: A total or a placing was added up wrongly, filed by Karin Lind" in text(
        steward, CLASS
    )
    ruling = {"verdict": "denied", "reason": "It adds up."}
    protested.steward.post("/v1/classes/horsemanship/protests/pr-1/rule", ruling)
    assert "protest denied" in text(steward, CLASS)
    federation = signed_in(protested, protested.keys["federation"])
    assert "pr-1" not in text(federation, CLASS)


def test_a_time_without_an_offset_is_read_by_the_clock_that_the_log_is_shown_by(
    protested: House,
) -> None:
    steward = signed_in(protested, protested.keys["steward"])
    planned = protested.steward.get("/v1/shows/three-rivers").json
    assert planned
    zone = ZoneInfo(planned["time_zone"])
    assert zone.key != "UTC"
    assert f"Times are those of {zone.key}" in text(steward, CLASS)
    now = datetime.now(zone).replace(tzinfo=None).isoformat()
    assert "The last events before this moment" in text(steward, f"{CLASS}?at={now}")


def test_several_judges_together_come_first_and_each_division_is_placed(house: House) -> None:
    body = {"id": "all-comers", "name": "All comers", "rulebook": "western-horsemanship"}
    panel = {"panel": {"method": "mean"}}
    house.office.post("/v1/shows/three-rivers/classes", body | panel)
    path = "/v1/classes/all-comers"
    house.office.post(f"{path}/pattern", {"maneuvers": ["Walk"]})
    for seat, judge in (("A", "p-ames"), ("B", "p-baines")):
        house.office.post(f"{path}/seats", {"seat": seat, "judge": judge})
    entry = {"entry": "e5", "back_number": 5, "exhibitor": "p-nord", "divisions": ["youth"]}
    house.office.post(f"{path}/entries", entry)
    house.office.post(f"{path}/draw", {"order": [{"back_number": 5}]})
    steward = signed_in(house, house.keys["steward"])
    assert "The judges together, by mean: Seat A, B has not finished." in text(
        steward, "/classes/all-comers"
    )
    for seat, mark in (("A", 1), ("B", 0.5)):
        house.scribe(seat).act(
            "all-comers",
            {"kind": "mark", "back_number": 5, "maneuver": 1, "mark": mark},
            {"kind": "rider_mark", "back_number": 5, "mark": 0},
        )
    shown = text(steward, "/classes/all-comers")
    headings = ("The judges together, by mean", "Judge A", "Judge B", "Division youth, of 1")
    assert sorted(map(shown.index, headings)) == [shown.index(each) for each in headings]
    assert '<td class="n">70.75</td>' in shown


def test_a_show_lists_the_standings_of_its_awards(protested: House) -> None:
    visitor = protested.app.test_client()
    listed = text(visitor, "/shows/three-rivers")
    assert "<h2>High point</h2>" in listed
    assert "Karin Lind" in listed
    assert listed.count("2=") == 2
    award = "/v1/shows/three-rivers/awards/high-point"
    coin = {"order": ["p-nord", "p-falk"], "by": "coin", "reason": "Tossed before both."}
    done(protested.office.post(f"{award}/settlements", coin))
    protested.reckon()
    listed = text(visitor, "/shows/three-rivers")
    assert listed.count("tie settled by coin") == 2
    assert "no longer counts" not in listed
    protested.correct("official")
    protested.reckon()
    assert "The coin that settled a tie no longer counts" in text(visitor, "/shows/three-rivers")


def test_a_class_shows_its_prize_money_and_when_it_is_stale(protested: House) -> None:
    visitor = protested.app.test_client()
    assert "Prize money" not in text(visitor, "/classes/official")
    purse = {"cents": 100_000, "percentages": ["43", "33", "23"]}
    done(protested.office.post("/v1/classes/official/prize-money", purse))
    board = text(visitor, "/classes/official")
    assert "430.00" in board
    assert "A purse of 1000.00: 990.00 paid, 10.00 not scheduled." in board
    assert "stale" not in board
    protested.correct("official")
    assert "The places have moved since it was awarded" in text(visitor, "/classes/official")
