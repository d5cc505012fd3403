from datetime import UTC, date, datetime
from typing import Any

from sqlalchemy import event

from events.show.commands import SlotClass
from service.desk.caller import Ask, Caller
from service.desk.desk import Desk
from service.desk.shows import carry_out
from service.store.engine import Database
from tests.http.house import House, done, refused

SHOW = "/v1/shows/three-rivers"
PATH = "/v1/classes/horsemanship"
SLOT = {
    "ring": "Main ring",
    "day": "2026-05-09",
    "slot": 2,
    "not_before": "09:00",
    "seconds_a_ride": 300,
}


def at(house: House, text: str) -> None:
    """Let the office's clock show that time of 9 May 2026, in UTC."""
    hours, minutes = map(int, text.split(":"))
    house.desk.clock = lambda: datetime(2026, 5, 9, hours, minutes, tzinfo=UTC)


def slotted(house: House) -> None:
    house.schedule()
    done(house.office.put(f"{SHOW}/classes/horsemanship/slot", SLOT))


def ring(house: House, day: str = "2026-05-09") -> dict[str, Any]:
    [found] = done(house.public.get(f"{SHOW}/timetable?day={day}"))["rings"]
    return dict(found)


def mark(house: House, number: int, clock: str) -> None:
    [answer] = house.scribe("A").act(
        "horsemanship",
        {
            "kind": "mark",
            "back_number": number,
            "maneuver": 1,
            "mark": 0,
            "occurred_at": f"2026-05-09T{clock}:00Z",
        },
    )
    assert answer["status"] == "accepted", answer


def test_a_class_is_expected_at_its_earliest_time_in_utc_and_on_the_shows_clock(
    house: House,
) -> None:
    slotted(house)
    at(house, "12:00")
    [found] = ring(house)["classes"]
    assert found["starts_at"] == "2026-05-09T14:00:00.000000Z"  # Chicago keeps UTC-5 in May
    assert found["starts_at_local"] == "2026-05-09T09:00:00-05:00"
    assert found["ends_at_local"] == "2026-05-09T09:15:00-05:00"  # three rides of five minutes
    assert (found["started"], found["ended"], found["entries"]) == (False, False, 3)
    assert ring(house, "2026-05-08")["classes"] == []


def test_the_estimate_follows_the_mean_time_of_the_rides_so_far(house: House) -> None:
    slotted(house)
    mark(house, 214, "14:10")
    mark(house, 87, "14:30")
    at(house, "14:30")
    [found] = ring(house)["classes"]
    assert (found["started"], found["ridden"]) == (True, 2)
    assert found["starts_at_local"] == "2026-05-09T09:10:00-05:00"
    # Twenty minutes from one ride to the next: the one that has begun, and one to go.
    assert found["ends_at_local"] == "2026-05-09T10:10:00-05:00"


def test_a_class_follows_the_one_before_it_in_the_ring(house: House) -> None:
    slotted(house)
    second = {"id": "second", "name": "Second", "rulebook": "western-horsemanship"}
    done(house.office.post(f"{SHOW}/classes", second))
    done(house.office.put(f"{SHOW}/classes/second/slot", {**SLOT, "slot": 3, "not_before": None}))
    at(house, "14:05")
    first, then = ring(house)["classes"]
    assert first["starts_at_local"] == "2026-05-09T09:05:00-05:00"  # late already
    assert then["starts_at"] == first["ends_at"]


def test_a_ring_shows_who_rides_next_and_who_is_on_deck(house: House) -> None:
    slotted(house)
    at(house, "14:00")
    found = ring(house)
    assert (found["next"]["back_number"], found["next"]["exhibitor"]["name"]) == (214, "Karin Lind")
    assert [each["back_number"] for each in found["on_deck"]] == [87, 5]
    mark(house, 214, "14:00")
    done(house.office.post(f"{PATH}/entries/e87/excused", {"reason": "Felt unwell."}))
    found = ring(house)
    assert (found["next"]["back_number"], found["on_deck"]) == (5, [])
    mark(house, 5, "14:05")
    assert ring(house)["next"] is None


def test_a_class_is_read_in_the_ring_and_on_the_day_of_its_slot(house: House) -> None:
    house.schedule()
    before = done(house.office.get(PATH))
    assert (before["ring"], before["day"]) == (None, None)
    done(house.office.put(f"{SHOW}/classes/horsemanship/slot", SLOT))
    [listed] = done(house.public.get(f"{SHOW}/classes"))["items"]
    now = done(house.office.get(PATH))
    for found in (listed, now):
        assert (found["ring"], found["day"]) == ("Main ring", "2026-05-09")
    assert done(house.office.get(f"{PATH}?at={now['version']}"))["day"] is None


def test_a_slot_is_refused_by_what_is_wrong_with_it(house: House) -> None:
    slotted(house)
    path = f"{SHOW}/classes/horsemanship/slot"
    for further, code, field in (
        ({"ring": "Moon ring"}, "unknown_ring", "ring"),
        ({"day": "2026-06-09"}, "day_outside_show", "day"),
    ):
        assert refused(house.office.put(path, {**SLOT, **further}), 422, code)["field"] == field
    wrong = refused(house.office.put(path, {**SLOT, "not_before": "25:00"}), 422, "invalid")
    assert wrong["errors"][0]["field"] == "not_before"
    refused(house.office.put(f"{SHOW}/classes/nowhere/slot", SLOT), 404, "unknown_class")
    refused(house.office.get(f"{SHOW}/timetable?day=2026-06-01"), 422, "day_outside_show")


def test_deadlines_count_back_from_the_start_and_name_the_rule(house: House) -> None:
    slotted(house)
    done(
        house.office.put(f"{SHOW}/deadlines", {"late_entry": 30, "scratch": 60, "horse_change": 15})
    )
    late = {"back_number": 9, "exhibitor": "p-lind"}
    at(house, "13:29")
    done(house.office.post(f"{PATH}/entries", late))
    at(house, "13:30")
    wrong = refused(
        house.office.post(f"{PATH}/entries", {**late, "back_number": 10}), 409, "deadline_passed"
    )
    assert "entries until 30 minutes before the start" in wrong["rule"]
    assert wrong["facts"] == {"closed_at": "2026-05-09T13:30:00Z", "minutes": 30}
    wrong = refused(house.office.post(f"{PATH}/entries/e87/scratch", {}), 409, "deadline_passed")
    assert "excused" in wrong["detail"]
    change = {"kind": "change_horse", "horse": "h-copper"}
    at(house, "13:44")
    for number, clock, status in ((214, "13:44", "accepted"), (87, "13:45", "refused")):
        sent = {**change, "back_number": number, "occurred_at": f"2026-05-09T{clock}:00Z"}
        [answer] = house.office.act("horsemanship", sent)
        assert answer["status"] == status, answer
    done(house.office.post(f"{PATH}/entries/e87/excused", {"reason": "Lame."}))


def test_a_late_ring_keeps_the_office_open_longer(house: House) -> None:
    slotted(house)
    done(house.office.put(f"{SHOW}/deadlines", {"late_entry": 0, "scratch": 0, "horse_change": 0}))
    at(house, "14:20")  # twenty minutes after the earliest time nobody has ridden
    done(house.office.post(f"{PATH}/entries/e5/scratch", {}))
    mark(house, 214, "14:25")
    at(house, "14:26")
    wrong = refused(house.office.post(f"{PATH}/entries/e87/scratch", {}), 409, "deadline_passed")
    assert wrong["facts"]["closed_at"] == "2026-05-09T14:25:00Z"


def test_a_mark_begins_the_class_for_what_comes_after_it_in_the_same_batch(house: House) -> None:
    house.schedule()
    done(house.office.put(f"{SHOW}/deadlines", {"late_entry": 0, "scratch": 0, "horse_change": 0}))
    at(house, "14:20")
    change = {"kind": "change_horse", "horse": "h-copper", "back_number": 87}
    given = {"kind": "mark", "seat": "A", "back_number": 214, "maneuver": 1, "mark": 0}
    answers = house.office.act(
        "horsemanship",
        {**change, "horse": "h-smoke", "occurred_at": "2026-05-09T13:59:00Z"},
        {**given, "occurred_at": "2026-05-09T14:00:00Z"},
        {**change, "occurred_at": "2026-05-09T14:01:00Z"},
        {**given, "maneuver": 2, "occurred_at": "2026-05-09T14:02:00Z"},
    )
    assert [each["status"] for each in answers] == ["accepted", "accepted", "refused", "accepted"]
    assert answers[2]["problem"]["code"] == "deadline_passed"


def test_without_a_slot_the_deadline_is_the_first_mark(house: House) -> None:
    house.schedule()
    done(house.office.put(f"{SHOW}/deadlines", {"late_entry": 0, "scratch": 0, "horse_change": 0}))
    done(house.office.post(f"{PATH}/entries/e5/scratch", {}))
    mark(house, 214, "14:00")
    at(house, "14:01")
    refused(house.office.post(f"{PATH}/entries/e87/scratch", {}), 409, "deadline_passed")


def test_a_command_that_was_in_time_is_answered_as_the_first_time_later(house: House) -> None:
    slotted(house)
    done(house.office.put(f"{SHOW}/deadlines", {"late_entry": 0, "scratch": 0, "horse_change": 0}))
    at(house, "13:00")
    scratch = f"{PATH}/entries/e5/scratch"
    first = done(house.office.post(scratch, {}, command="lame"))
    at(house, "15:00")
    assert done(house.office.post(scratch, {}, command="lame")) == first


def test_entries_carry_the_number_that_the_show_gave(house: House) -> None:
    house.schedule()
    numbers = f"{SHOW}/back-numbers"
    done(house.office.post(numbers, {"number": 31, "exhibitor": "p-lind", "horse": "h-copper"}))
    done(house.office.post(numbers, {"number": 32, "exhibitor": "p-ames"}))
    entry = {"exhibitor": "p-lind", "horse": "h-copper"}
    wrong = house.office.post(f"{PATH}/entries", {**entry, "back_number": 30})
    problem = refused(wrong, 409, "back_number_of_another")
    assert (problem["field"], problem["facts"]["number"]) == ("back_number", 31)
    done(house.office.post(f"{PATH}/entries", {**entry, "back_number": 31}))
    nobody = {"exhibitor": "p-falk", "horse": "h-smoke", "back_number": 33}
    problem = refused(house.office.post(f"{PATH}/entries", nobody), 409, "back_number_not_given")
    assert problem["field"] == "exhibitor"
    alone = {"exhibitor": "p-ames", "horse": "h-smoke", "back_number": 32}
    done(house.office.post(f"{PATH}/entries", alone))


def test_a_number_is_given_once_and_never_again(house: House) -> None:
    numbers = f"{SHOW}/back-numbers"
    given = {"number": 1, "exhibitor": "p-lind", "horse": "h-copper"}
    done(house.office.post(numbers, given))
    refused(
        house.office.post(numbers, {"number": 1, "exhibitor": "p-falk"}), 409, "back_number_taken"
    )
    refused(house.office.post(numbers, {**given, "number": 2}), 409, "back_number_given_already")
    found = done(house.office.get(numbers))
    assert found["items"][0]["horse"]["name"] == "Copper Lane"
    assert found["next_free"] == 2
    done(house.office.post(f"{numbers}/1/take-back", {"reason": "The number was torn."}))
    found = done(house.office.get(numbers))
    assert (found["items"], found["taken_back"], found["next_free"]) == ([], [1], 2)
    refused(house.office.post(numbers, given), 409, "back_number_taken")


def queries(house: House) -> list[str]:
    """Where every query from now on is written down."""
    asked: list[str] = []

    def listen(connection: Any, *_: object) -> None:  # noqa: ANN401 - as the driver hands it over
        connection.set_trace_callback(asked.append)

    event.listen(house.desk.database.engine, "checkout", listen)
    return asked


def test_an_unchanged_day_costs_one_query_besides_the_key_and_a_304_no_more(house: House) -> None:
    slotted(house)
    second = {"id": "second", "name": "Second", "rulebook": "western-horsemanship"}
    done(house.office.post(f"{SHOW}/classes", second))
    done(house.office.put(f"{SHOW}/classes/second/slot", {**SLOT, "slot": 3}))
    mark(house, 214, "14:00")
    at(house, "14:01")
    path = f"{SHOW}/timetable?day=2026-05-09"
    first = house.public.get(path)
    asked = queries(house)
    again = house.public.get(path)
    assert again.data == first.data
    key, tips = asked
    assert "api_key" in key
    assert "max(version)" in tips
    asked.clear()
    known = house.public.get(path, {"If-None-Match": first.headers["ETag"]})
    assert (known.status_code, known.data, len(asked)) == (304, b"", 2)
    asked.clear()
    mark(house, 87, "14:01")
    asked.clear()
    moved = house.public.get(path, {"If-None-Match": first.headers["ETag"]})
    assert (moved.status_code, len(asked)) == (200, 3)  # the end of the one class that moved


def test_what_another_process_wrote_is_on_the_next_timetable(house: House) -> None:
    slotted(house)
    at(house, "12:00")
    ring(house)
    other = Desk(Database(house.desk.database.engine.url))
    carry_out(
        other,
        Ask(caller=Caller(key="another", role="office"), id="another-1"),
        "three-rivers",
        SlotClass(class_id="horsemanship", ring="Main ring", day=date(2026, 5, 8), slot=1),
    )
    other.close()
    assert ring(house)["classes"] == []
    assert len(ring(house, "2026-05-08")["classes"]) == 1


def test_an_erased_rider_is_announced_no_more_although_no_event_says_so(house: House) -> None:
    slotted(house)
    at(house, "14:00")
    path = f"{SHOW}/timetable?day=2026-05-09"
    tag = house.public.get(path).headers["ETag"]
    done(house.office.delete("/v1/people/p-lind"))
    answer = house.public.get(path, {"If-None-Match": tag})
    assert "Karin Lind" not in answer.text
    assert done(answer)["rings"][0]["next"]["exhibitor"]["name"] == "withheld"


def test_a_tag_stands_while_the_times_do_and_falls_when_they_move(house: House) -> None:
    slotted(house)
    path = f"{SHOW}/timetable?day=2026-05-09"
    at(house, "12:00")
    early = house.public.get(path).headers["ETag"]
    at(house, "13:59")
    assert house.public.get(path).headers["ETag"] == early
    at(house, "14:03")
    late = house.public.get(path).headers["ETag"]
    assert late != early  # nobody has ridden, and the class is late


def test_the_ring_tells_who_is_in_it_and_when_the_others_are_expected(house: House) -> None:
    slotted(house)
    at(house, "13:00")
    found = ring(house)
    assert found["in_ring"] is None
    assert found["next"]["expected_at_local"] == "2026-05-09T09:00:00-05:00"
    assert found["on_deck"][0]["expected_at_local"] == "2026-05-09T09:05:00-05:00"
    done(house.office.post(f"{PATH}/entries/e214/calls", {"call": 1}))
    mark(house, 214, "14:00")
    at(house, "14:01")
    found = ring(house)
    assert (found["in_ring"]["back_number"], found["in_ring"]["calls"]) == (214, 1)
    assert (found["next"]["back_number"], found["on_deck"][0]["back_number"]) == (87, 5)
    assert found["next"]["expected_at_local"] == "2026-05-09T09:05:00-05:00"
    assert "expected_at" not in found["in_ring"]


def test_whoever_rides_again_is_announced_again(house: House) -> None:
    slotted(house)
    mark(house, 214, "14:00")
    mark(house, 87, "14:05")
    at(house, "14:06")
    assert ring(house)["next"]["back_number"] == 5
    again = {"kind": "reride", "back_number": 214, "reason": "A gate fell."}
    [answer] = house.office.act("horsemanship", again)
    assert answer["status"] == "accepted", answer
    found = ring(house)
    assert (found["next"]["back_number"], found["classes"][0]["ridden"]) == (214, 1)


def test_without_a_day_it_is_today_by_the_shows_clock(house: House) -> None:
    slotted(house)
    for clock, day in (
        (datetime(2026, 5, 1, tzinfo=UTC), "2026-05-08"),
        (datetime(2026, 5, 10, 4, 59, tzinfo=UTC), "2026-05-09"),  # before midnight in Chicago
        (datetime(2026, 6, 1, tzinfo=UTC), "2026-05-10"),
    ):
        house.desk.clock = lambda at=clock: at  # type: ignore[misc]
        assert done(house.public.get(f"{SHOW}/timetable"))["day"] == day
