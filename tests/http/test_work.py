"""Watching the workers over HTTP, and trying again what they gave up."""

from datetime import timedelta

from service.store import outbox
from tests.http.agreeing import agree
from tests.http.house import House, done, refused

PATH = "/v1/workers"


def give_up(house: House) -> str:
    """A job that cannot be done; its id."""
    now = house.desk.clock()
    with house.desk.database.writing() as connection:
        outbox.put(connection, kind="webhook", key="webhook/x", payload="{}", now=now)
    lease = timedelta(minutes=1)
    [job] = outbox.offer(house.desk.database, now=now, limit=1, again_after=lease)
    work = outbox.claim(house.desk.database, job, now=now, lease=lease)
    assert work is not None
    with house.desk.database.writing() as connection:
        assert outbox.bury(connection, work, error="answered 500", now=now)
    return job


def test_the_office_sees_what_is_behind(house: House) -> None:
    house.work()
    followers = agree(house.office.get(PATH), PATH)["followers"]
    assert [(each["name"], each["events"], each["error"]) for each in followers] == [
        ("publications", 0, None),
        ("standings", 0, None),
    ]
    house.schedule()
    found = agree(house.office.get(PATH), PATH)
    for behind in found["followers"]:
        assert behind["events"] == found["head"] - behind["position"] > 0
        assert behind["seconds"] >= 0


def test_what_was_given_up_is_listed_and_tried_again(house: House) -> None:
    job = give_up(house)
    assert done(house.office.get(PATH))["outbox"]["dead"] == 1
    [failed] = agree(house.office.get(f"{PATH}/failed"), f"{PATH}/failed")["items"]
    assert (failed["id"], failed["last_error"]) == (job, "answered 500")
    assert done(house.office.post(f"{PATH}/failed/{job}/again")) == {"id": job}
    assert done(house.office.get(f"{PATH}/failed"))["items"] == []
    assert done(house.office.get(PATH))["outbox"]["due"] == 1
    refused(house.office.post(f"{PATH}/failed/{job}/again"), 404, "unknown_job")


def test_an_office_of_one_show_sees_nothing_of_it(house: House) -> None:
    office = house.hand("office", show="three-rivers")
    for path in (PATH, f"{PATH}/failed"):
        refused(office.get(path), 403, "other_show")
    refused(office.post(f"{PATH}/failed/x/again"), 403, "other_show")
    refused(house.steward.get(PATH), 403, "role_not_allowed")
