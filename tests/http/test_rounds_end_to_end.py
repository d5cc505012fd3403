"""From a preliminary in sections over a semi-final to a final, as a show office does it."""

from typing import Any

import pytest

from service.pages.render import COOKIE
from tests.http.agreeing import agree
from tests.http.house import MANEUVERS, House, done, refused
from tests.http.test_sections import SHOW, ride, sign

FINALS_PATTERN = ["Jog to the cone", "Lope right lead", "Stop and back"]


def schedule(house: House, class_id: str, **plan: Any) -> str:  # noqa: ANN401 - members of a class
    body = {"id": class_id, "name": class_id.title(), "rulebook": "western-horsemanship"}
    done(house.office.post(f"{SHOW}/classes", {**body, **plan}))
    path = f"/v1/classes/{class_id}"
    done(house.office.post(f"{path}/seats", {"seat": "A", "judge": "p-ames"}))
    return path


def pattern(house: House, path: str, maneuvers: list[str]) -> None:
    done(house.office.post(f"{path}/pattern", {"maneuvers": maneuvers}))


def enter(house: House, path: str, *numbers: int) -> None:
    riders = ("lind", "falk", "nord", "ames", "baines")
    for number in numbers:
        entry = {"entry": f"e{number}", "back_number": number}
        rider = f"p-{riders[number % len(riders)]}"
        done(house.office.post(f"{path}/entries", {**entry, "exhibitor": rider}))


def posted(house: House, class_id: str, marks: dict[int, float]) -> None:
    ride(house.scribe("A"), class_id, marks)
    sign(house.scribe("A"), class_id)
    done(house.office.post(f"/v1/classes/{class_id}/results/post"))


def correct(house: House, class_id: str, number: int, mark: float) -> None:
    """A mark of the first maneuver was typed wrongly; the results are posted again."""
    path = f"/v1/classes/{class_id}"
    card = done(house.office.get(f"{path}/cards/A"))
    [line] = [each for each in card["rides"] if each["back_number"] == number]
    fact = {"kind": "mark", "maneuver": 1, "mark": mark}
    body = {"seat": "A", "back_number": number, "authority": "office_error", "reason": "Misread."}
    replaced = {"replaces": line["marks"][0]["version"], "fact": fact}
    done(house.office.post(f"{path}/corrections", {**body, **replaced}))
    done(house.office.post(f"{path}/results/post"))


def qualified(house: House, class_id: str) -> dict[str, Any]:
    path = "/v1/classes/{class_id}/qualified"
    return agree(house.office.get(f"/v1/classes/{class_id}/qualified"), path)


def standing(house: House, class_id: str) -> list[tuple[int, float, int]]:
    [seat] = done(house.office.get(f"/v1/classes/{class_id}/placing"))["seats"]
    return [(row["back_number"], row["total"], row["place"]) for row in seat["rows"]]


@pytest.fixture
def cut(house: House) -> House:
    """A preliminary in two sections of three; two go on from each, 11, 12, 14 and 15."""
    path = schedule(house, "preliminary", round={"kind": "preliminary"})
    pattern(house, path, MANEUVERS)
    enter(house, path, 11, 12, 13, 14, 15, 16)
    order = [{"back_number": number} for number in (11, 12, 13, 14, 15, 16)]
    done(house.office.post(f"{path}/draw", {"order": order, "sections": [3, 3]}))
    posted(house, "preliminary", {11: 2, 12: 1, 13: 0, 14: 1, 15: 0.5, 16: -1})
    done(house.office.post(f"{path}/cut", {"size": 2, "per_section": True}))
    return house


def test_from_a_preliminary_in_sections_to_the_final(cut: House) -> None:
    house = cut
    shown = done(house.office.get("/v1/classes/preliminary"))["cut"]
    assert (shown["qualified"], shown["per_section"]) == (["e11", "e12", "e14", "e15"], True)

    stage = {"kind": "semi_final", "after": "preliminary", "carries": True}
    semi = schedule(house, "semi", round=stage)
    pattern(house, semi, MANEUVERS)
    waiting = qualified(house, "semi")
    assert [(row["section"], row["total"], row["entered"]) for row in waiting["rows"]] == [
        (1, 74, False),
        (1, 73, False),
        (2, 73, False),
        (2, 72.5, False),
    ]
    done(house.office.post(f"{semi}/qualified"))
    assert [row["agrees"] for row in qualified(house, "semi")["rows"]] == [True] * 4
    done(house.office.post(f"{semi}/draw", {"by_lot": {"seed": "dice"}}))
    posted(house, "semi", {11: 0, 12: 1, 14: 1, 15: -3})
    assert standing(house, "semi") == [(11, 146, 1), (12, 146, 1), (14, 146, 1), (15, 141.5, 4)]

    # A tie at the cut: with those tied all three go on, without them nobody.
    done(house.office.post(f"{semi}/cut", {"size": 2, "with_ties": False}))
    shown = done(house.office.get(semi))["cut"]
    assert (shown["qualified"], sorted(shown["tied_out"])) == ([], ["e11", "e12", "e14"])
    done(house.office.post(f"{semi}/cut", {"size": 2}))

    browser = house.app.test_client()
    browser.set_cookie(COOKIE, house.keys["office"])
    page = browser.get("/classes/semi").text
    assert "This is a semi final, after" in page
    assert "On to the next round: back numbers 11, 12, 14." in page
    page = browser.get("/classes/preliminary").text
    assert "On to the next round, from each section: back numbers 11, 12, 14, 15." in page

    # The final is judged afresh, over a pattern of its own that is posted later.
    final = schedule(house, "final", round={"kind": "final", "after": "semi"})
    done(house.office.post(f"{final}/qualified"))
    done(house.office.post(f"{final}/draw", {"by_lot": {"seed": "dice"}}))
    pattern(house, final, FINALS_PATTERN)
    posted(house, "final", {11: 0, 12: 2, 14: 1})
    done(
        house.office.post(
            f"{final}/results/make-official", {"reason": "Everybody has seen the cards."}
        )
    )
    assert standing(house, "final") == [(12, 74, 1), (14, 73, 2), (11, 72, 3)]
    found = qualified(house, "final")
    assert (found["carries"], found["after"], found["others"]) == (False, "semi", [])
    assert [row["agrees"] for row in found["rows"]] == [True] * 3


def test_a_correction_in_the_round_before_is_seen_and_taken_over(cut: House) -> None:
    stage = {"kind": "final", "after": "preliminary", "carries": True}
    final = schedule(cut, "final", round=stage)
    done(cut.office.post(f"{final}/qualified"))
    correct(cut, "preliminary", 15, 3)
    found = qualified(cut, "final")
    assert found["outdated"]
    [moved] = [row for row in found["rows"] if not row["agrees"]]
    assert (moved["back_number"], moved["total"], moved["carried"]) == (15, 75, 72.5)
    refused(cut.office.post(f"{final}/qualified"), 409, "cut_outdated")
    done(cut.office.post("/v1/classes/preliminary/cut", {"size": 2, "per_section": True}))
    done(cut.office.post(f"{final}/qualified"))
    found = qualified(cut, "final")
    assert (found["outdated"], {row["agrees"] for row in found["rows"]}) == (False, {True})
    assert done(cut.office.post(f"{final}/qualified"))["events"] == 0


def test_a_correction_that_sends_another_on_leaves_the_first_to_the_office(cut: House) -> None:
    final = schedule(cut, "final", round={"kind": "final", "after": "preliminary"})
    done(cut.office.post(f"{final}/qualified"))
    correct(cut, "preliminary", 13, 3)
    done(cut.office.post("/v1/classes/preliminary/cut", {"size": 2, "per_section": True}))
    done(cut.office.post(f"{final}/qualified"))
    found = qualified(cut, "final")
    assert [row["back_number"] for row in found["rows"]] == [13, 11, 14, 15]
    assert found["others"] == [{"entry": "e12", "back_number": 12}]
    done(cut.office.post(f"{final}/entries/e12/scratch", {"reason": "Did not qualify."}))
    assert qualified(cut, "final")["others"] == []


def test_a_change_of_horse_in_the_final_stands_when_a_larger_cut_adds_others(cut: House) -> None:
    final = schedule(cut, "final", round={"kind": "final", "after": "preliminary"})
    done(cut.office.post(f"{final}/qualified"))
    change = {"kind": "change_horse", "entry": "e11", "horse": "h-smoke", "reason": "Lame."}
    [changed] = cut.office.act("final", change)
    assert changed["status"] == "accepted", changed
    done(cut.office.post(f"{final}/entries/e12/scratch", {"reason": "Went home."}))
    done(cut.office.post("/v1/classes/preliminary/cut", {"size": 3, "per_section": True}))
    done(cut.office.post(f"{final}/qualified"))
    entries = done(cut.office.get(final))["entries"]
    assert {each["back_number"] for each in entries} == {11, 12, 13, 14, 15, 16}
    assert next(each["horse"]["id"] for each in entries if each["entry"] == "e11") == "h-smoke"
    assert next(each["scratched"] for each in entries if each["entry"] == "e12")


def test_a_total_that_the_office_carries_by_hand_is_put_right_by_hand(cut: House) -> None:
    stage = {"kind": "final", "after": "preliminary", "carries": True}
    final = schedule(cut, "final", round=stage)
    done(cut.office.post(f"{final}/qualified"))
    done(cut.office.put(f"{final}/entries/e11/carried", {"total": 148.5}))
    entries = done(cut.office.get(final))["entries"]
    assert next(each["carried"] for each in entries if each["entry"] == "e11") == 148.5
    [other] = [row for row in qualified(cut, "final")["rows"] if not row["agrees"]]
    assert (other["carried"], other["total"]) == (148.5, 74)
    refused(
        cut.scribe("A").put(f"{final}/entries/e11/carried", {"total": 1}), 403, "role_not_allowed"
    )


def test_a_cut_over_all_sections_takes_the_best_of_them_together(cut: House) -> None:
    done(cut.office.post("/v1/classes/preliminary/cut", {"size": 3}))
    shown = done(cut.office.get("/v1/classes/preliminary"))["cut"]
    assert (shown["qualified"], shown["per_section"]) == (["e11", "e12", "e14"], False)


def test_a_class_without_a_round_before_has_nobody_qualified(house: House) -> None:
    path = schedule(house, "alone")
    refused(house.office.get(f"{path}/qualified"), 409, "round_without_one_before")
