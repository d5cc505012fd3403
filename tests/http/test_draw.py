from hashlib import sha256
from typing import Any

from events.rulebook.load import to_document
from service.books import shipped_book
from tests.http.house import House, done, refused

SHOW = "/v1/shows/three-rivers"
PATH = "/v1/classes/spaced"
AHA = {"rider_apart": [2, 3], "horse_apart": [], "most_rides": 3}
"""AHA, AEPA Class: Establishing 'Order of Go' (studylib.net/doc/7137554)."""


def entered(house: House, riders: dict[int, str], book: str = "western-horsemanship") -> None:
    """A class in which each back number is ridden by one of the registered people."""
    done(house.office.post(f"{SHOW}/classes", {"id": "spaced", "name": "Spaced", "rulebook": book}))
    for number, rider in riders.items():
        enter(house, number, rider)


def enter(house: House, number: int, rider: str, *, late: bool = False) -> None:
    entry = {"entry": f"e{number}", "back_number": number, "exhibitor": f"p-{rider}", "late": late}
    done(house.office.post(f"{PATH}/entries", entry))


def order(house: House) -> list[int]:
    sections = done(house.office.get(f"{PATH}/draw"))["sections"]
    return [each["back_number"] for section in sections for each in section]


def lots(seed: str, numbers: list[int]) -> list[int]:
    return sorted(numbers, key=lambda number: sha256(f"{seed}:{number}".encode()).hexdigest())


def log(house: House) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = done(house.steward.get(f"{PATH}/log?limit=500"))["items"]
    return [each for each in found if each["type"].startswith("class.draw")]


RIDERS = {1: "lind", 2: "lind", 3: "falk", 4: "nord", 5: "ames", 6: "baines"}


def seed_with_a_clash() -> str:
    """A seed whose lots put back numbers 1 and 2 side by side."""
    return next(
        seed
        for seed in map(str, range(100))
        if abs(lots(seed, [*RIDERS]).index(1) - lots(seed, [*RIDERS]).index(2)) == 1
    )


def test_a_drawn_order_is_repaired_and_every_repair_says_why(house: House) -> None:
    entered(house, RIDERS)
    seed = seed_with_a_clash()
    done(house.office.post(f"{PATH}/draw", {"by_lot": {"seed": seed, "spacing": AHA}}))
    drawn, *repairs = log(house)
    assert [int(name[1:]) for name in drawn["data"]["order"]] == lots(seed, [*RIDERS])
    assert drawn["data"]["seed"] == seed
    assert {each["type"] for each in repairs} == {"class.draw_repaired"}
    assert "have one rider: 0 between them, 2 wanted" in repairs[0]["data"]["reason"]
    now = order(house)
    assert abs(now.index(1) - now.index(2)) >= 3
    assert [int(name[1:]) for name in repairs[-1]["data"]["order"]] == now


def test_the_same_draw_again_adds_nothing(house: House) -> None:
    entered(house, RIDERS)
    body = {"by_lot": {"seed": seed_with_a_clash(), "spacing": AHA}}
    first = done(house.office.post(f"{PATH}/draw", body, command="lots"))
    assert done(house.office.post(f"{PATH}/draw", body, command="lots")) == first
    assert done(house.office.post(f"{PATH}/draw", body))["events"] == 0


def test_a_class_in_which_nobody_can_be_kept_apart_is_drawn_only_when_asked(house: House) -> None:
    entered(house, {1: "lind", 2: "lind", 3: "falk"})
    plan = {"seed": "dice", "spacing": AHA}
    answer = refused(house.office.post(f"{PATH}/draw", {"by_lot": plan}), 409, "draw_not_spaced")
    assert answer["facts"]["verdict"] == "impossible"
    assert log(house) == []
    done(house.office.post(f"{PATH}/draw", {"by_lot": {**plan, "as_far_as_possible": True}}))
    assert sorted(order(house)) == [1, 2, 3]


def test_a_rider_with_more_horses_than_allowed_is_named(house: House) -> None:
    entered(house, {1: "lind", 2: "lind", 3: "falk"})
    plan = {"seed": "dice", "spacing": {"most_rides": 1}}
    answer = refused(house.office.post(f"{PATH}/draw", {"by_lot": plan}), 409, "draw_not_spaced")
    assert answer["facts"]["verdict"] == "too_many_rides"


def test_late_entries_go_first_in_reverse_or_to_the_bottom(house: House) -> None:
    # American Mule Association, rule 101: first, in reverse order received;
    # cashcansbarrelracing.com, rules: to the bottom.
    entered(house, {1: "lind", 2: "falk"})
    done(house.office.post(f"{PATH}/draw", {"by_lot": {"seed": "dice"}}))
    drawn = lots("dice", [1, 2])
    enter(house, 7, "nord")
    enter(house, 8, "ames")
    done(house.office.post(f"{PATH}/draw", {"late": {}}))  # as the rule book says
    assert order(house) == [8, 7, *drawn]
    assert log(house)[-1]["data"]["reason"] == (
        "Late entries go first, the last received first of all: back number 7, 8."
    )
    enter(house, 9, "baines")
    done(house.office.post(f"{PATH}/draw", {"late": {"place": "last"}}))
    assert order(house) == [8, 7, *drawn, 9]
    refused(house.office.post(f"{PATH}/draw", {"late": {}}), 409, "nobody_to_draw")


def test_entries_marked_late_are_left_out_of_the_lots(house: House) -> None:
    entered(house, {1: "lind", 2: "falk"})
    enter(house, 7, "nord", late=True)
    enter(house, 8, "ames", late=True)
    plan = {"seed": "dice", "late_entries": "first_reversed"}
    done(house.office.post(f"{PATH}/draw", {"by_lot": plan}))
    assert order(house) == [8, 7, *lots("dice", [1, 2])]


def test_nobody_goes_first_once_the_class_has_begun(house: House) -> None:
    house.schedule()
    path = "/v1/classes/horsemanship"
    mark = {"kind": "mark", "back_number": 214, "maneuver": 1, "mark": 0}
    house.scribe("A").act("horsemanship", mark)
    done(house.office.post(f"{path}/entries", {"back_number": 9, "exhibitor": "p-lind"}))
    late = {"late": {"place": "first_reversed"}}
    refused(house.office.post(f"{path}/draw", late), 409, "class_has_begun")
    done(house.office.post(f"{path}/draw", {"late": {"place": "last"}}))


def test_late_entries_wait_for_a_draw(house: House) -> None:
    entered(house, {1: "lind"})
    refused(house.office.post(f"{PATH}/draw", {"late": {}}), 409, "no_draw_yet")


def test_a_class_too_large_is_ridden_in_sections(house: House) -> None:
    entered(house, {number: rider for number, rider in RIDERS.items() if number < 6})
    done(house.office.post(f"{PATH}/draw", {"by_lot": {"seed": "dice"}}))
    found = done(house.office.get(f"{PATH}/draw?at_most=3"))["sections"]
    assert [len(section) for section in found] == [3, 2]
    assert [len(section) for section in done(house.office.get(f"{PATH}/draw"))["sections"]] == [5]


def test_the_rule_book_says_how_it_is_drawn(house: House) -> None:
    book = to_document(shipped_book("western-horsemanship"))
    book["id"] = "spaced-horsemanship"
    book["draw"] = {
        "source": "a test",
        "late_entries": "first_reversed",
        "rider_apart": [2, 3],
        "split_above": 4,
    }
    done(house.office.post(f"{SHOW}/rulebooks", {"book": book}))
    entered(house, RIDERS, "spaced-horsemanship")
    done(house.office.post(f"{PATH}/draw", {"by_lot": {"seed": seed_with_a_clash()}}))
    now = order(house)
    assert abs(now.index(1) - now.index(2)) >= 3
    found = done(house.office.get(f"{PATH}/draw"))
    assert [len(section) for section in found["sections"]] == [3, 3]
    assert found["clashes"] == []
    enter(house, 7, "falk")
    done(house.office.post(f"{PATH}/draw", {"late": {}}))
    assert order(house) == [7, *now]
    side_by_side = [{"back_number": number} for number in (1, 2, 3, 4, 5, 6, 7)]
    by_hand = {"order": side_by_side, "reason": "By hand."}
    refused(house.office.post(f"{PATH}/draw", by_hand), 422, "sections_not_said")
    done(house.office.post(f"{PATH}/draw", {**by_hand, "sections": [7]}))
    [clash] = done(house.office.get(f"{PATH}/draw"))["clashes"]
    assert (clash["first"], clash["second"], clash["between"]) == ("e1", "e2", 0)
