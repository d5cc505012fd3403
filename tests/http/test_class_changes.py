"""Classes that are cancelled, moved and combined, and judges who cannot go on, over HTTP."""

from datetime import UTC, datetime
from typing import Any

from tests.http.house import House, done, refused

SHOW = "/v1/shows/three-rivers"
PATH = "/v1/classes/horsemanship"
WHY = {"reason": "The arena is under water."}


def shown(house: House, class_id: str = "horsemanship") -> dict[str, Any]:
    return done(house.office.get(f"/v1/classes/{class_id}"))


def small_class(house: House, class_id: str, *entries: dict[str, Any]) -> str:
    """A class of its own under the same rule book."""
    body = {"id": class_id, "name": class_id, "rulebook": "western-horsemanship"}
    done(house.office.post(f"{SHOW}/classes", body))
    path = f"/v1/classes/{class_id}"
    for each in entries:
        done(house.office.post(f"{path}/entries", each))
    return path


def test_a_cancelled_class_says_why_and_can_be_held_after_all(house: House) -> None:
    house.schedule()
    done(house.steward.post(f"{PATH}/cancel", WHY))
    assert shown(house)["phase"] == "cancelled"
    said = shown(house)["cancelled"]
    assert (said["reason"], said["into"]) == ("The arena is under water.", None)
    wrong = refused(house.office.post(f"{PATH}/results/post"), 409, "wrong_phase")
    assert wrong["detail"].startswith("The class is cancelled")
    [listed] = done(house.federation.get(f"{SHOW}/classes"))["items"]
    assert listed["phase"] == "cancelled"
    done(house.office.post(f"{PATH}/lift-cancellation", {"reason": "The rain has stopped."}))
    assert (shown(house)["phase"], shown(house)["cancelled"]) == ("planned", None)


def test_a_cancelled_class_takes_no_time_and_keeps_nobody_waiting(house: House) -> None:
    house.schedule()
    small_class(house, "later", {"back_number": 9, "exhibitor": "p-lind"})
    house.desk.clock = lambda: datetime(2026, 5, 9, 12, tzinfo=UTC)
    slot = {"ring": "Main ring", "day": "2026-05-09", "seconds_a_ride": 300}
    first = {**slot, "slot": 1, "not_before": "11:00"}
    done(house.office.put(f"{SHOW}/classes/horsemanship/slot", first))
    done(house.office.put(f"{SHOW}/classes/later/slot", {**slot, "slot": 2}))
    done(house.office.post(f"{PATH}/cancel", WHY))
    [ring] = done(house.public.get(f"{SHOW}/timetable?day=2026-05-09"))["rings"]
    cancelled, kept = ring["classes"]
    assert cancelled["ended"]
    assert cancelled["starts_at"] == cancelled["ends_at"]
    assert kept["starts_at"] == "2026-05-09T16:00:00.000000Z"  # as the ring opens, in Chicago
    assert ring["next"]["back_number"] == 9


def test_nobody_comes_from_a_round_that_was_cancelled(house: House) -> None:
    house.schedule()
    final = {
        "id": "final",
        "name": "Final",
        "rulebook": "western-horsemanship",
        "round": {"kind": "final", "after": "horsemanship"},
    }
    done(house.office.post(f"{SHOW}/classes", final))
    done(house.office.post(f"{PATH}/cancel", WHY))
    answer = house.office.post("/v1/classes/final/qualified")
    refused(answer, 409, "round_before_cancelled")
    another = {**final, "id": "another"}
    wrong = refused(house.office.post(f"{SHOW}/classes", another), 409, "round_before_cancelled")
    assert wrong["field"] == "round.after"


def test_a_class_is_moved_and_what_is_not_named_stays(house: House) -> None:
    house.schedule()
    before = shown(house)
    done(house.office.post(f"{PATH}/reschedule", {"day": "2026-05-10", "number": 7, **WHY}))
    after = shown(house)
    assert (after["day"], after["number"]) == ("2026-05-10", 7)
    assert (after["name"], after["ring"]) == (before["name"], before["ring"])
    of = f"{PATH}/compare?from={before['version']}&to={after['version']}"
    changes = done(house.steward.get(of))["changes"]
    assert [(each["kind"], each["reason"]) for each in changes] == [("schedule", WHY["reason"])]
    for body, field in (({"ring": "Nowhere"}, "ring"), ({"day": "2026-07-01"}, "day")):
        answer = house.office.post(f"{PATH}/reschedule", {**body, **WHY})
        assert answer.get_json()["field"] == field
        assert answer.status_code == 422


def test_two_small_classes_are_combined_and_each_keeps_its_results(house: House) -> None:
    house.schedule()
    other = small_class(
        house,
        "amateur",
        {"entry": "e5", "back_number": 9, "exhibitor": "p-baines", "horse": "h-copper"},
        {"entry": "a2", "back_number": 10, "exhibitor": "p-ames"},
    )
    done(house.office.post(f"{other}/entries/a2/scratch", {}))
    plan = {"other": "amateur", "division": "Amateur", "own_division": "Open", "reason": "Few."}
    receipt = done(house.office.post(f"{PATH}/combine", plan, command="both"))
    assert done(house.office.post(f"{PATH}/combine", plan, command="both")) == receipt
    assert receipt["events"] == 2
    entries = {each["back_number"]: each for each in shown(house)["entries"]}
    assert entries[9]["divisions"] == ["Amateur"]
    assert entries[9]["entry"] != "e5"  # that id belongs to another entry here
    assert entries[214]["divisions"] == ["Open"]
    assert 10 not in entries
    assert shown(house)["combined"][0]["other"] == "amateur"
    gone = shown(house, "amateur")
    assert (gone["phase"], gone["cancelled"]["into"]) == ("cancelled", "horsemanship")
    refused(house.office.post(f"{other}/lift-cancellation", WHY), 409, "class_combined")
    done(house.office.post(f"{PATH}/draw", {"by_lot": {"seed": "dice: 4 1"}}))
    placed = done(house.office.get(f"{PATH}/placing"))
    assert [each["name"] for each in placed["divisions"]] == ["Amateur", "Open"]
    assert done(house.office.post(f"{PATH}/combine", plan))["events"] == 0


def test_who_was_entered_in_both_classes_rides_once_in_both_divisions(house: House) -> None:
    house.schedule()
    mine = next(each for each in shown(house)["entries"] if each["horse"] is not None)
    same = {
        "back_number": mine["back_number"],
        "exhibitor": mine["exhibitor"]["id"],
        "horse": mine["horse"]["id"],
    }
    small_class(house, "amateur", same)
    plan = {"other": "amateur", "division": "Amateur", "own_division": "Open", "reason": "Few."}
    done(house.office.post(f"{PATH}/combine", plan))
    entries = {each["entry"]: each for each in shown(house)["entries"]}
    assert len(entries) == 3
    assert entries[mine["entry"]]["divisions"] == ["Open", "Amateur"]


def test_where_the_show_defines_divisions_classes_are_combined_as_two_of_them(
    house: House,
) -> None:
    house.schedule()
    small_class(house, "amateur", {"back_number": 9, "exhibitor": "p-ames"})
    done(house.office.post(f"{SHOW}/divisions", {"division": "Open", "terms": {}}))
    plan = {"other": "amateur", "division": "Amateur", "own_division": "Open", "reason": "Few."}
    answer = refused(house.office.post(f"{PATH}/combine", plan), 422, "division_not_defined")
    assert (answer["field"], answer["facts"]["defined"]) == ("division", ["Open"])
    misspelt = {**plan, "division": "Open", "own_division": "Opne"}
    answer = refused(house.office.post(f"{PATH}/combine", misspelt), 422, "division_not_defined")
    assert answer["field"] == "own_division"
    assert shown(house)["combined"] == []
    done(house.office.post(f"{SHOW}/divisions", {"division": "Amateur", "terms": {}}))
    done(house.office.post(f"{PATH}/combine", plan))


def test_classes_that_cannot_be_combined_are_refused_and_both_stay(house: House) -> None:
    house.schedule()
    plan = {"division": "Amateur", "own_division": "Open", "reason": "Few."}

    def ask(other: str, status: int, code: str) -> dict[str, Any]:
        answer = house.office.post(f"{PATH}/combine", {**plan, "other": other})
        return refused(answer, status, code)

    assert ask("nowhere", 422, "class_not_beside")["field"] == "other"
    assert ask("horsemanship", 422, "class_not_beside")["field"] == "other"
    house.adopt("reining")
    body = {"id": "reining-open", "name": "Reining", "rulebook": "reining"}
    done(house.office.post(f"{SHOW}/classes", body))
    ask("reining-open", 409, "rule_books_differ")
    small_class(house, "clash", {"back_number": 214, "exhibitor": "p-ames"})
    assert ask("clash", 409, "back_number_taken")["field"] == "other"
    assert shown(house, "clash")["phase"] == "planned"
    assert shown(house)["combined"] == []
    stale = house.office.post(
        f"{PATH}/combine", {**plan, "other": "clash"}, headers={"If-Match": '"1"'}
    )
    refused(stale, 412, "stale_version")


def test_a_judge_is_replaced_in_the_middle_and_the_card_says_so(house: House) -> None:
    scribe = house.seat_a()
    mark = {"kind": "mark", "maneuver": 1, "mark": 1}
    scribe.act("horsemanship", {**mark, "back_number": 214})
    change = {"judge": "p-baines", "reason": "Taken ill."}
    done(house.steward.post(f"{PATH}/seats/A/replace", change))
    scribe.act("horsemanship", {**mark, "back_number": 87})
    card = done(house.office.get(f"{PATH}/cards/A"))
    assert card["judge"]["id"] == "p-baines"
    assert [each["id"] for each in card["judges_before"]] == ["p-ames"]
    judges = {ride["back_number"]: [j["id"] for j in ride["judges"]] for ride in card["rides"]}
    assert (judges[214], judges[87]) == (["p-ames"], ["p-baines"])
    [seat] = done(house.office.get(f"{PATH}/placing"))["seats"]
    assert seat["judges_before"][0]["id"] == "p-ames"
    wrong = {**change, "judge": "p-nobody"}
    answer = refused(
        house.office.post(f"{PATH}/seats/A/replace", wrong), 422, "person_not_registered"
    )
    assert answer["field"] == "judge"


def test_official_results_name_both_judges_of_a_card(house: House) -> None:
    house.schedule()
    scribe = house.scribe("A")
    scribe.act("horsemanship", {"kind": "mark", "maneuver": 1, "mark": 3, "back_number": 214})
    change = {"judge": "p-baines", "reason": "Taken ill."}
    done(house.steward.post(f"{PATH}/seats/A/replace", change))
    house.judge("horsemanship")
    house.make_official("horsemanship")
    house.work()
    [seat] = done(house.public.get(f"{PATH}/publications/1"))["seats"]
    assert seat["judge"]["id"] == "p-baines"
    assert [each["id"] for each in seat["judges_before"]] == ["p-ames"]


def test_a_seat_is_closed_and_the_panel_goes_on(house: House) -> None:
    house.schedule(seats="AB")
    house.scribe("B").act(
        "horsemanship", {"kind": "mark", "maneuver": 1, "mark": 1, "back_number": 214}
    )
    done(house.office.post(f"{PATH}/seats/B/close", {"reason": "Taken ill."}))
    seats = {each["seat"]: each["kind"] for each in shown(house)["seats"]}
    assert seats == {"A": "judge", "B": "closed"}
    [answer] = house.scribe("B").act(
        "horsemanship", {"kind": "mark", "maneuver": 2, "mark": 1, "back_number": 214}
    )
    assert answer["problem"]["code"] == "seat_closed"
    only = house.office.post(f"{PATH}/seats/A/close", {"reason": "Taken ill."})
    refused(only, 409, "last_judge")


def test_a_seat_is_given_up_and_a_panel_changed_before_the_first_ride(house: House) -> None:
    house.schedule(seats="AB")
    panel = {"panel": {"method": "drop_high_low_sum"}, "reason": "The prize list."}
    wrong = refused(house.office.post(f"{PATH}/panel", panel), 409, "panel_unfit")
    assert wrong["field"] == "panel"
    done(house.office.post(f"{PATH}/panel", {"panel": {"method": "sum"}, "reason": "So it is."}))
    assert shown(house)["panel"]["method"] == "sum"
    done(house.office.post(f"{PATH}/panel", {"panel": None, "reason": "As the book says."}))
    assert shown(house)["panel"] is None
    done(house.office.post(f"{PATH}/seats/B/unseat", {"reason": "Not coming."}))
    assert [each["seat"] for each in shown(house)["seats"]] == ["A"]


def test_what_of_a_panel_does_not_fit_the_seats_is_said_before_anybody_rides(house: House) -> None:
    body = {
        "id": "big",
        "name": "Big",
        "rulebook": "western-horsemanship",
        "panel": {"method": "drop_high_low_sum"},
    }
    done(house.office.post(f"{SHOW}/classes", body))
    assert shown(house, "big")["panel_misfit"] is None
    done(house.office.post("/v1/classes/big/seats", {"seat": "A", "judge": "p-ames"}))
    assert "takes three seats or more" in shown(house, "big")["panel_misfit"]
