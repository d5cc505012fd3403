from tests.http.agreeing import agree
from tests.http.house import House, done, refused

PATH = "/v1/classes/horsemanship"


def test_those_who_tie_share_the_money_of_their_places(house: House) -> None:
    house.judge(house.schedule())  # 214 first, 87 and 5 share second place
    # A published schedule that comes to 99 %: Sport of Kings barrel futurity, three qualifying.
    body = {"cents": 100_001, "percentages": ["43", "33", "23"]}
    found = agree(
        house.office.post(f"{PATH}/payout", body), "/v1/classes/{class_id}/payout", "post"
    )
    paid = {each["back_number"]: each["cents"] for each in found["prizes"]}
    assert paid == {214: 43_000, 87: 28_000, 5: 28_000}
    kept = found["unscheduled"] + found["unfilled"] + found["odd_cents"]
    assert found["paid"] + kept == found["purse"] == 100_001
    assert "99 %, not 100 %" in found["notes"][0]


def test_the_odd_cent_goes_where_it_is_said_to_go(house: House) -> None:
    house.judge(house.schedule())
    body = {"cents": 101, "percentages": ["50", "25", "25"], "odd_cents": "to_first"}
    found = done(house.office.post(f"{PATH}/payout", body))
    assert [each["cents"] for each in found["prizes"]] == [51, 25, 25]
    assert found["prizes"][0]["odd_cents"] == 1


def test_a_purse_is_refused_by_what_is_wrong_with_it(house: House) -> None:
    house.judge(house.schedule(seats="AB"))
    body = {"cents": 100, "percentages": ["60", "50"], "seat": "A"}
    answer = refused(house.office.post(f"{PATH}/payout", body), 422, "schedule_unfit")
    assert answer["field"] == "percentages"
    fits = {"cents": 100, "percentages": ["60", "40"]}
    assert refused(house.office.post(f"{PATH}/payout", fits), 422, "result_not_named")["field"]
    lost = {**fits, "seat": "A", "division": "youth"}
    refused(house.office.post(f"{PATH}/payout", lost), 422, "unknown_division")
    wrong = {**fits, "percentages": ["1e3"]}
    refused(house.office.post(f"{PATH}/payout", wrong), 422, "invalid")


def test_a_panel_is_paid_once_it_has_finished(house: House) -> None:
    show = "/v1/shows/three-rivers"
    body = {"id": "horsemanship", "name": "Panel", "rulebook": "western-horsemanship"}
    done(house.office.post(f"{show}/classes", {**body, "panel": {"method": "sum"}}))
    done(house.office.post(f"{PATH}/pattern", {"maneuvers": ["Walk"]}))
    for seat, judge in (("A", "p-ames"), ("B", "p-baines")):
        done(house.office.post(f"{PATH}/seats", {"seat": seat, "judge": judge}))
    entry = {"entry": "e1", "back_number": 1, "exhibitor": "p-lind", "divisions": ["youth"]}
    done(house.office.post(f"{PATH}/entries", entry))
    done(house.office.post(f"{PATH}/draw", {"order": [{"back_number": 1}]}))
    purse = {"cents": 100, "percentages": ["100"], "division": "youth"}
    refused(house.office.post(f"{PATH}/payout", purse), 409, "panel_not_finished")
    for seat in "AB":
        house.scribe(seat).act(
            "horsemanship",
            {"kind": "mark", "back_number": 1, "maneuver": 1, "mark": 1},
            {"kind": "rider_mark", "back_number": 1, "mark": 2},
        )
    found = done(house.office.post(f"{PATH}/payout", purse))
    assert [each["cents"] for each in found["prizes"]] == [100]
