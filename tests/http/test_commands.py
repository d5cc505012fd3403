"""The envelope of a command: its id, and the version that it insists on."""

import pytest

from tests.http.house import SHOW, House, done, refused

SEATS = "/v1/classes/horsemanship/seats"
SEAT = {"seat": "B", "judge": "p-baines"}


def test_a_repeated_command_is_answered_as_the_first_time(house: House) -> None:
    house.schedule()
    first = house.office.post(SEATS, SEAT, command="seat-b")
    again = house.office.post(SEATS, SEAT, command="seat-b")
    assert first.status_code == again.status_code == 200
    assert first.get_json() == again.get_json()
    assert first.headers["ETag"] == again.headers["ETag"]


def test_a_repeated_command_is_known_when_the_class_has_moved_on(house: House) -> None:
    class_id = house.schedule()
    order = {"order": [{"back_number": number} for number in (5, 87, 214)]}
    path = f"/v1/classes/{class_id}/draw"
    first = house.office.post(path, order, command="draw")
    house.judge(class_id)
    again = house.office.post(path, order, command="draw")
    assert done(first) == done(again)
    other = {"order": [{"back_number": number} for number in (87, 5, 214)]}
    refused(house.office.post(path, other), 409, "wrong_phase")


def test_a_show_made_without_an_id_is_made_once(house: House) -> None:
    plan = {name: value for name, value in SHOW.items() if name != "id"}
    first = house.office.post("/v1/shows", plan, command="new-show")
    again = house.office.post("/v1/shows", plan, command="new-show")
    assert first.status_code == again.status_code == 201
    assert first.headers["Location"] == again.headers["Location"]
    assert done(house.office.get(first.headers["Location"]))["name"] == SHOW["name"]
    assert len(done(house.office.get("/v1/shows"))["items"]) == 2


def test_a_draw_by_lot_that_is_sent_again_is_not_drawn_again(house: House) -> None:
    path = f"/v1/classes/{house.schedule()}/draw"
    first = done(house.office.post(path, {"by_lot": {}}, command="lots"))
    order = done(house.office.get("/v1/classes/horsemanship"))["draw"]
    assert done(house.office.post(path, {"by_lot": {}}, command="lots")) == first
    assert done(house.office.get("/v1/classes/horsemanship"))["draw"] == order


def test_one_id_for_two_commands_is_refused(house: House) -> None:
    house.schedule()
    done(house.office.post(SEATS, SEAT, command="c"))
    other = {"seat": "C", "judge": "p-nord"}
    refused(house.office.post(SEATS, other, command="c"), 422, "idempotency_key_reused")
    path = "/v1/classes/horsemanship/pattern"
    refused(
        house.office.post(path, {"maneuvers": ["Walk"]}, command="c"), 422, "idempotency_key_reused"
    )


def test_an_id_counts_within_its_key(house: House) -> None:
    house.schedule()
    done(house.office.post(SEATS, SEAT, command="c"))
    other = house.hand("office")
    done(other.post(SEATS, {"seat": "C", "judge": "p-nord"}, command="c"))


def test_a_command_without_an_id_is_refused_and_nothing_happens(house: House) -> None:
    house.schedule()
    sent = {"Authorization": f"Bearer {house.office.key}"}
    answer = house.office.client.post(SEATS, json=SEAT, headers=sent)
    assert refused(answer, 400, "idempotency_key_missing")["field"] == "Idempotency-Key"
    assert len(done(house.office.get("/v1/classes/horsemanship"))["seats"]) == 1


def test_an_id_in_quotation_marks_is_the_same_id(house: House) -> None:
    house.schedule()
    first = done(house.office.post(SEATS, SEAT, command='"seat-b"'))
    assert done(house.office.post(SEATS, SEAT, command="seat-b")) == first


@pytest.mark.parametrize(
    "sent", ["", '"', "two words", "x" * 129, "caf\N{LATIN SMALL LETTER E}\xe9"]
)
def test_an_unreadable_id_is_refused(house: House, sent: str) -> None:
    headers = {"Idempotency-Key": sent}
    answer = house.office.post("/v1/shows", SHOW, headers=headers)
    assert refused(answer, 400, "header_unreadable")["field"] == "Idempotency-Key"


def test_a_command_that_insists_on_a_passed_version_is_refused(house: House) -> None:
    path = f"/v1/classes/{house.schedule()}"
    tag = house.office.get(path).headers["ETag"]
    version = done(house.office.get(path))["version"]
    done(house.office.post(SEATS, SEAT, headers={"If-Match": tag}))
    late = house.office.post(SEATS, {"seat": "C", "judge": "p-nord"}, headers={"If-Match": tag})
    problem = refused(late, 412, "stale_version")
    assert problem["facts"] == {"expected": version, "version": version + 1}
    assert late.headers["ETag"] == f'"{version + 1}"'


def test_any_version_will_do_for_a_star(house: House) -> None:
    house.schedule()
    done(house.office.post(SEATS, SEAT, headers={"If-Match": "*"}))


@pytest.mark.parametrize("sent", ['W/"3"', "3", '"three"', '"3", "4"', '""', '"-3"'])
def test_a_tag_that_names_no_one_version_is_refused(house: House, sent: str) -> None:
    house.schedule()
    answer = house.office.post(SEATS, SEAT, headers={"If-Match": sent})
    assert refused(answer, 400, "header_unreadable")["field"] == "If-Match"


def test_an_unchanged_document_is_not_sent_again(house: House) -> None:
    house.schedule()
    for path in ("", "/placing", "/cards", "/cards/A", "/log", "/protests", "/placing?at=3"):
        address = f"/v1/classes/horsemanship{path}"
        tag = house.office.get(address).headers["ETag"]
        for sent in (tag, f"W/{tag}", f'"other", W/{tag}', "*"):
            answer = house.office.get(address, {"If-None-Match": sent})
            assert (answer.status_code, answer.data) == (304, b"")
            assert answer.headers["ETag"] == tag


def test_a_changed_document_is_sent_again(house: House) -> None:
    scribe = house.seat_a()
    path = "/v1/classes/horsemanship/cards/A"
    tag = scribe.get(path).headers["ETag"]
    scribe.act("horsemanship", {"kind": "mark", "back_number": 214, "maneuver": 1, "mark": 0})
    assert scribe.get(path, {"If-None-Match": tag}).status_code == 200


def test_a_person_made_twice_under_one_id_is_one_person(house: House) -> None:
    body = {"name": "Per Nord", "contact": "per@example.org"}
    first = house.office.post("/v1/people", body, command="per")
    again = house.office.post("/v1/people", body, command="per")
    assert done(first) == done(again)
    other = {"name": "Somebody Else"}
    refused(house.office.post("/v1/people", other, command="per"), 409, "person_id_taken")


@pytest.mark.parametrize("sent", ["", "x" * 65, "tab\tlet", "t\xe9l\xe9phone"])
def test_a_device_that_is_not_named_plainly_is_refused(house: House, sent: str) -> None:
    answer = house.office.get("/v1/shows", {"Ringfold-Device": sent})
    assert refused(answer, 400, "header_unreadable")["field"] == "Ringfold-Device"
