"""What a steward asks of a class before ruling."""

from tests.http.house import House, done, refused

PATH = "/v1/classes/horsemanship"


def test_two_moments_are_compared_down_to_who_moved_what(protested: House) -> None:
    log = done(protested.steward.get(f"{PATH}/log?limit=500"))["items"]
    signed = next(each["version"] for each in log if each["type"] == "card.signed")
    found = done(protested.steward.get(f"{PATH}/compare?from={signed - 1}"))
    kinds = {change["kind"]: change for change in found["changes"]}
    assert kinds["signature"]["witness"]["version"] == signed
    assert kinds["signature"]["before"] is None
    assert kinds["protest"]["after"]["filed"]["statement"] != "withheld"
    assert found["moved"] == []
    reversed_ = protested.steward.get(f"{PATH}/compare?from={signed}&to=1")
    assert refused(reversed_, 422, "moments_reversed")["field"] == "from"


def test_a_ruling_is_tried_without_storing_anything(protested: House) -> None:
    before = done(protested.steward.get(f"{PATH}/placing"))
    last = before["seats"][0]["rows"][-1]
    fact = {"kind": "mark", "maneuver": 1, "mark": 3}
    added = {"seat": "A", "back_number": last["back_number"], "fact": fact}
    tried = done(protested.steward.post(f"{PATH}/what-if", {"add": [added]}))
    [moved] = [each for each in tried["moved"] if each["entry"] == last["entry"]]
    assert moved["after"]["total"] > moved["before"]["total"]
    assert done(protested.steward.get(f"{PATH}/placing")) == before


def test_a_ruling_is_tried_down_to_class_points(protested: House) -> None:
    last = done(protested.steward.get(f"{PATH}/placing"))["seats"][0]["rows"][-1]
    fact = {"kind": "rider_mark", "mark": 5}
    added = {"seat": "A", "back_number": last["back_number"], "fact": fact}
    body = {"add": [added], "points": "one-per-entry-beaten"}
    moved = done(protested.steward.post(f"{PATH}/what-if", body))["points"]
    assert {each["back_number"] for each in moved} >= {last["back_number"]}
    assert all(each["before"] != each["after"] for each in moved)
    wrong = protested.steward.post(f"{PATH}/what-if", {"points": "three-two-one"})
    refused(wrong, 404, "unknown_points_table")


def test_a_struck_event_and_a_wrong_one_are_told_apart(protested: House) -> None:
    log = done(protested.steward.get(f"{PATH}/log?limit=500"))["items"]
    mark = next(each for each in log if each["type"] == "card.mark_given")
    tried = done(protested.steward.post(f"{PATH}/what-if", {"strike": [mark["version"]]}))
    [moved] = [m for m in tried["moved"] if m["entry"] == mark["data"]["entry"]]
    assert moved["after"]["total"] is None
    wrong = protested.steward.post(f"{PATH}/what-if", {"strike": [9999]})
    assert refused(wrong, 422, "unknown_version")["field"] == "strike[0]"


def test_every_term_of_a_total_is_explained(protested: House) -> None:
    row = done(protested.steward.get(f"{PATH}/placing"))["seats"][0]["rows"][0]
    query = f"{PATH}/explain?seat=A&entry={row['entry']}"
    told = done(protested.steward.get(query))
    assert sum(term["points"] for term in told["terms"]) == told["total"] == row["total"]
    assert told["steps"][-1]["place"] == row["place"]
    assert {term["witness"]["role"] for term in told["terms"] if term["witness"]} == {"scribe"}
    text = protested.steward.get(query, {"Accept": "text/plain"})
    assert text.mimetype == "text/plain"
    assert f"Back number {row['back_number']}" in text.get_data(as_text=True)
    assert refused(
        protested.steward.get(f"{PATH}/explain?seat=A&entry=nobody"), 422, "unknown_entry"
    )


def test_a_scribe_who_reads_results_before_signing_is_known_to_the_audit(house: House) -> None:
    house.schedule("horsemanship")
    house.seat_a().get(f"{PATH}/placing")
    found = done(house.steward.get(f"{PATH}/audit"))["findings"]
    assert [(each["kind"], each["seat"]) for each in found] == [("read_before_signing", "A")]
    refused(house.seat_a().get(f"{PATH}/audit"), 403, "role_not_allowed")


def test_the_ring_is_read_by_the_devices_clocks(protested: House) -> None:
    log = done(protested.steward.get(f"{PATH}/log?limit=500"))["items"]
    last = max(each["occurred_at"] for each in log)
    now = done(protested.steward.get(f"{PATH}/ring?at={last}"))
    rows = done(protested.steward.get(f"{PATH}/placing"))["seats"][0]["rows"]
    assert [row["total"] for row in now["seats"][0]["rows"]] == [row["total"] for row in rows]
    first = min(each["occurred_at"] for each in log)
    assert done(protested.steward.get(f"{PATH}/ring?at={first}"))["known_of"] == len(log)
