from typing import Any
from xml.etree import ElementTree as ET

from tests.http.agreeing import agree
from tests.http.house import House, done, refused

PATH = "/v1/classes/horsemanship"
SVG = {"Accept": "image/svg+xml"}
NAME = "{http://www.w3.org/2000/svg}"


def judged_by_two(house: House) -> None:
    """A as ever; B marks 87 two points higher at the first maneuver, and the others alike."""
    house.schedule(seats="AB")
    house.judge("horsemanship", "A")
    scribe = house.scribe("B")
    marks = ((214, (1, 0.5, -0.5), 3), (87, (2, 0, 0), 2), (5, (0.5, -0.5, 0), 2))
    judge(scribe, marks)


def judge(hand: Any, marks: Any) -> None:  # noqa: ANN401 - a hand and its marks
    for number, given, rider in marks:
        answers = hand.act(
            "horsemanship",
            *(
                {"kind": "mark", "back_number": number, "maneuver": at, "mark": mark}
                for at, mark in enumerate(given, 1)
            ),
            {"kind": "rider_mark", "back_number": number, "mark": rider},
        )
        assert {each["status"] for each in answers} == {"accepted"}, answers
    [signed] = hand.act("horsemanship", {"kind": "sign"})
    assert signed["status"] == "accepted", signed


def learned(house: House, *, cuts: list[int] | None = None) -> None:
    """An official class with learners in seats L, who marks as A did, and M, who turns it round."""
    house.schedule()
    for seat, person in (("L", "p-baines"), ("M", "p-nord")):
        body = {"seat": seat, "judge": person, "kind": "learner"}
        done(house.office.post(f"{PATH}/seats", body))
    judge(
        house.scribe("A"),
        ((214, (1, 0.5, -0.5), 3), (87, (0, 0, 0), 2), (5, (-0.5, -0.5, 0), 2)),
    )
    [called] = house.scribe("M").act(
        "horsemanship",
        {"kind": "penalty", "back_number": 214, "maneuver": 2, "points": 3},
    )
    assert called["status"] == "accepted", called
    judge(
        house.scribe("L"),
        ((214, (1, 0.5, -0.5), 3), (87, (0, 0, 0), 2), (5, (-0.5, -0.5, 0), 2)),
    )
    judge(
        house.scribe("M"),
        ((214, (-1, 0.5, -0.5), 3), (87, (0, 0, 0), 2), (5, (1, -0.5, 0), 2)),
    )
    if cuts:
        done(house.office.put(f"{PATH}/contest-cuts", {"cuts": cuts}))
    house.make_official("horsemanship")


def test_the_report_says_how_far_judges_agree_and_which_marks_stand_apart(house: House) -> None:
    judged_by_two(house)
    found = agree(house.steward.get(f"{PATH}/agreement"), "/v1/classes/{class_id}/agreement")
    assert (found["seats"], found["entries"]) == (["A", "B"], 3)
    assert 0 < found["concordance"] < 1
    assert [(each["maneuver"], each["widest"]) for each in found["spreads"]] == [
        (1, 2),
        (2, 0),
        (3, 0),
    ]
    assert found["spreads"][0]["mean"] == "2/3"
    assert [(each["seat"], each["back_number"], each["mark"]) for each in found["apart"]] == [
        ("A", 87, 0),
        ("B", 87, 2),
    ]
    [pair] = found["pairs"]
    assert -1 <= pair["kendall"] <= pair["spearman"] <= 1


def test_the_report_is_drawn_as_a_picture_that_reads_aloud(house: House) -> None:
    judged_by_two(house)
    answer = house.steward.get(f"{PATH}/agreement", SVG)
    assert (answer.status_code, answer.mimetype) == (200, "image/svg+xml")
    drawn = ET.fromstring(answer.text)  # noqa: S314 - it is our own
    assert drawn.get("role") == "img"
    titles = [each.text for each in drawn.iter(f"{NAME}title")]
    assert len(titles) == 4
    assert titles[1] == "Maneuver 1, Walk: 0.67 points apart on average over 3 rides."


def test_one_judge_agrees_with_nobody(house: House) -> None:
    house.judge(house.schedule())
    refused(house.steward.get(f"{PATH}/agreement"), 409, "one_judge_only")


def test_a_learner_is_compared_once_the_class_is_official(house: House) -> None:
    house.schedule()
    body = {"seat": "L", "judge": "p-baines", "kind": "learner"}
    done(house.office.post(f"{PATH}/seats", body))
    refused(house.office.get(f"{PATH}/learners/L"), 409, "not_official_yet")
    refused(house.office.get(f"{PATH}/learners"), 409, "not_official_yet")


def test_a_learners_card_lies_beside_the_judges(house: House) -> None:
    learned(house, cuts=[2, 5])
    path = "/v1/classes/{class_id}/learners/{seat}"
    found = agree(house.scribe("M").get(f"{PATH}/learners/M"), path)
    assert (found["learner"]["name"], found["against"]) == ("Per Nord", "A")
    first = next(each for each in found["marks"] if each["back_number"] == 214)
    assert (first["official"], first["learner"], first["difference"]) == (1, -1, -2)
    [call] = found["seen"]
    assert (call["kind"], call["points"], call["seen"]) == ("penalty", 3, "not_called")
    # 214, 87, 5 officially and 5, 87, 214 by the learner: every pair is turned, 2 + 5 + (2 + 5).
    assert (found["contest"]["score"], found["contest"]["lost"]) == (36, 14)
    refused(house.scribe("L").get(f"{PATH}/learners/M"), 403, "card_not_open")
    refused(house.office.get(f"{PATH}/learners/A"), 422, "not_a_learner")
    refused(house.office.get(f"{PATH}/learners/M?against=Z"), 422, "unknown_seat")


def test_a_group_is_ranked_by_its_contest_scores(house: House) -> None:
    learned(house, cuts=[2, 5])
    found = agree(house.office.get(f"{PATH}/learners"), "/v1/classes/{class_id}/learners")
    assert found["by"] == "contest score"
    assert [(each["seat"], each["place"], each["contest"]) for each in found["rows"]] == [
        ("L", 1, 50),
        ("M", 2, 36),
    ]
    assert [each["spearman"] for each in found["rows"]] == [1, -1]
    assert [each["off"] for each in found["rows"]] == [0, 3.5]
    doubt = found["doubts"][0]
    assert (doubt["maneuver"], doubt["by_seat"]) == (1, {"L": "0", "M": "7/6"})


def test_without_cuts_a_group_is_ranked_by_its_marks_and_drawn(house: House) -> None:
    learned(house)
    found = done(house.office.get(f"{PATH}/learners"))
    assert (found["by"], found["rows"][0]["seat"]) == ("marks", "L")
    answer = house.office.get(f"{PATH}/learners", SVG)
    drawn = ET.fromstring(answer.text)  # noqa: S314 - it is our own
    titles = [each.text for each in drawn.iter(f"{NAME}title")]
    assert "Seat M, maneuver 1: 1.17 points off" in titles


def test_without_learners_there_is_no_group(house: House) -> None:
    house.judge(house.schedule())
    house.make_official("horsemanship")
    refused(house.office.get(f"{PATH}/learners"), 409, "no_learners")
