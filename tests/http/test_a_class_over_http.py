from typing import Any

from tests.http.house import House, done, refused


def placed(house: House, query: str = "") -> dict[int, tuple[int | None, float | None]]:
    found = done(house.office.get(f"/v1/classes/horsemanship/placing{query}"))
    [seat] = found["seats"]
    return {row["back_number"]: (row["place"], row["total"]) for row in seat["rows"]}


def test_a_class_goes_from_draw_to_official_placing(house: House) -> None:
    class_id = house.schedule()
    house.judge(class_id)
    house.make_official(class_id)
    found = done(house.public.get(f"/v1/classes/{class_id}/placing"))
    [seat] = found["seats"]
    rows = {row["back_number"]: row for row in seat["rows"]}
    assert found["phase"] == "official"
    assert (rows[214]["place"], rows[214]["total"], rows[214]["tied"]) == (1, 74, False)
    assert (rows[87]["place"], rows[87]["tied"]) == (2, True)
    assert (rows[5]["place"], rows[5]["tied"]) == (2, True)
    assert rows[214]["exhibitor"] == {"id": "p-lind", "name": "Karin Lind"}
    assert rows[214]["horse"] == {"id": "h-smoke", "name": "Smoke Over Willow"}


def test_the_placing_can_be_read_as_it_stood_at_any_version_or_time(house: House) -> None:
    class_id = house.schedule()
    scribe = house.scribe("A")
    marks: list[dict[str, Any]] = [
        {"kind": "mark", "back_number": 214, "maneuver": at, "mark": 0} for at in (1, 2, 3)
    ]
    scribe.act(class_id, *marks, {"kind": "rider_mark", "back_number": 214, "mark": 0})
    then = done(house.office.get(f"/v1/classes/{class_id}"))["version"]
    log = done(house.office.get(f"/v1/classes/{class_id}/log?limit=500"))
    moment = log["items"][-1]["recorded_at"]
    scribe.act(class_id, {"kind": "mark", "back_number": 214, "maneuver": 1, "mark": 2})
    assert placed(house)[214] == (1, 72)
    assert placed(house, f"?at={then}")[214] == (1, 70)
    assert placed(house, f"?at={moment}")[214] == (1, 70)


def test_a_moment_that_has_not_come_is_refused_by_name(house: House) -> None:
    class_id = house.schedule()
    for at in ("99999", "0", "2999-01-01T00:00:00Z", "1999-01-01T00:00:00Z", "yesterday"):
        for part in ("", "/cards", "/placing", "/log"):
            answer = house.office.get(f"/v1/classes/{class_id}{part}?at={at}")
            assert refused(answer, 422, "at_unknown")["field"] == "at"


def test_a_misspelt_parameter_is_not_passed_over(house: House) -> None:
    answer = house.office.get(f"/v1/classes/{house.schedule()}/placing?att=3")
    assert refused(answer, 422, "invalid")["field"] == "att"


def test_a_corrected_card_moves_the_placing_and_keeps_what_stood_before(house: House) -> None:
    class_id = house.schedule()
    house.judge(class_id)
    card = done(house.office.get(f"/v1/classes/{class_id}/cards/A"))
    ride = next(ride for ride in card["rides"] if ride["back_number"] == 87)
    before = card["version"]
    body = {
        "correction": "c-1",
        "seat": "A",
        "back_number": 87,
        "authority": "judge",
        "reason": "The scribe heard nought for two.",
        "replaces": ride["marks"][0]["version"],
        "fact": {"kind": "mark", "maneuver": 1, "mark": 2.5},
    }
    assert done(house.office.post(f"/v1/classes/{class_id}/corrections", body))["id"] == "c-1"
    assert placed(house)[87] == (1, 74.5)
    assert placed(house, f"?at={before}")[87] == (2, 72)


def test_the_log_shows_hand_device_both_times_and_the_text(house: House) -> None:
    class_id = house.schedule()
    scribe = house.scribe("A")
    outcome = {
        "id": "tablet-3-17",
        "kind": "outcome",
        "back_number": 87,
        "outcome": "off_pattern",
        "maneuver": 3,
        "reason": "Passed the wrong side of the cone.",
        "occurred_at": "2026-05-09T14:03:07.5+02:00",
    }
    scribe.client.post(
        f"/v1/classes/{class_id}/actions",
        json={"actions": [outcome]},
        headers={"Authorization": f"Bearer {scribe.key}", "Ringfold-Device": "tablet-3"},
    )
    event = done(house.steward.get(f"/v1/classes/{class_id}/log?limit=500"))["items"][-1]
    assert event["type"] == "card.outcome_called"
    assert event["command"] == "tablet-3-17"
    assert event["occurred_at"] == "2026-05-09T12:03:07.500000Z"
    assert event["recorded_at"] > "2026"
    actor = event["actor"]
    assert (actor["role"], actor["seat"], actor["device"]) == ("scribe", "A", "tablet-3")
    assert actor["label"] == "a test's scribe"
    assert event["data"]["reason"] == "Passed the wrong side of the cone."
    hidden = done(house.federation.get(f"/v1/classes/{class_id}/log?limit=500"))["items"][-1]
    assert hidden["data"]["reason"] == "withheld"


def test_an_erased_rider_reads_as_withheld_at_every_moment(house: House) -> None:
    class_id = house.schedule()
    house.judge(class_id)
    house.make_official(class_id)
    tag = house.public.get(f"/v1/classes/{class_id}/placing").headers["ETag"]
    done(house.office.delete("/v1/people/p-lind"))
    again = house.public.get(f"/v1/classes/{class_id}/placing", {"If-None-Match": tag})
    assert again.status_code == 200
    assert "Karin Lind" not in again.text
    for part in ("", "/placing", "/log?limit=500", "/placing?at=12"):
        text = house.office.get(f"/v1/classes/{class_id}{part}").text
        assert "Karin Lind" not in text
        assert "withheld" in text
