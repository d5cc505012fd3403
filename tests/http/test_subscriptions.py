"""Subscriptions over HTTP: opened, changed, paused, replayed, and the secret shown once."""

from typing import Any

import pytest
from werkzeug.test import TestResponse

from service.store import outbox
from tests.http.agreeing import agree
from tests.http.house import SHOW, Hand, House, done, refused

PATH = "/v1/subscriptions"
ONE = f"{PATH}/{{subscription_id}}"
WANTED = {"url": "https://federation.example/hooks", "label": "Our copy"}


def opened(hand: Hand, **further: object) -> dict[str, Any]:
    return done(hand.post(PATH, WANTED | further))


def patch(hand: Hand, path: str, body: object) -> TestResponse:
    return hand.client.patch(path, json=body, headers={"Authorization": f"Bearer {hand.key}"})


def waiting(house: House, subscription: str) -> int:
    with house.desk.database.reading() as connection:
        return len(outbox.undone_payloads(connection, subscription))


@pytest.fixture
def official(house: House) -> House:
    house.judge(house.schedule())
    house.make_official("horsemanship")
    house.work()
    return house


def test_the_secret_is_shown_when_it_is_made_and_never_again(house: House) -> None:
    answer = house.federation.post(PATH, WANTED)
    made = agree(answer, PATH, "post")
    assert answer.status_code == 201
    assert made["secret"].startswith("whsec_")
    assert answer.headers["Cache-Control"] == "no-store"
    read = house.federation.get(answer.headers["Location"])
    agree(read, ONE)
    assert made["secret"] not in read.text + house.federation.get(PATH).text
    rotated = done(house.federation.post(f"{PATH}/{made['id']}/secret"))
    assert rotated["secret"] != made["secret"]


def test_a_repeated_command_subscribes_once(house: House) -> None:
    first = house.federation.post(PATH, WANTED, command="sub")
    assert done(house.federation.post(PATH, WANTED, command="sub")) == done(first)
    assert len(done(house.federation.get(PATH))["items"]) == 1
    other = house.federation.post(PATH, WANTED | {"label": "Another"}, command="sub")
    refused(other, 409, "subscriber_id_taken")


def test_what_is_published_from_then_on_is_sent(official: House) -> None:
    made = opened(official.federation)
    assert waiting(official, made["id"]) == 0
    official.correct("horsemanship")
    official.work()
    assert waiting(official, made["id"]) == 1


def test_a_subscription_may_begin_at_a_cursor_of_the_feed(official: House) -> None:
    assert waiting(official, opened(official.federation, after=0)["id"]) == 1
    head = int(done(official.federation.get("/v1/changes"))["next"])
    assert waiting(official, opened(official.federation, after=head)["id"]) == 0
    beyond = official.federation.post(PATH, WANTED | {"after": 10**6})
    assert refused(beyond, 422, "position_unknown")["field"] == "after"


def test_messages_are_replayed_from_a_position(official: House) -> None:
    path = f"{PATH}/{opened(official.federation)['id']}"
    assert done(official.federation.post(f"{path}/replay", {"after": 0}))["messages"] == 1
    assert done(official.federation.post(f"{path}/replay", {"after": 0}))["messages"] == 0
    refused(official.federation.post(f"{path}/replay", {}), 422, "invalid")


def test_a_paused_subscription_keeps_what_there_would_be_to_send(official: House) -> None:
    path = f"{PATH}/{opened(official.federation)['id']}"
    assert done(official.federation.post(f"{path}/pause"))["paused_at"] is not None
    official.correct("horsemanship")
    official.work()
    assert done(official.federation.post(f"{path}/resume"))["messages"] == 1
    assert done(official.federation.get(path))["paused_at"] is None


def test_a_change_leaves_the_rest_as_it_was(house: House) -> None:
    path = f"{PATH}/{opened(house.federation, types=['result.corrected'])['id']}"
    changed = done(patch(house.federation, path, {"label": "Moved"}))
    assert (changed["label"], changed["url"]) == ("Moved", WANTED["url"])
    assert changed["types"] == ["result.corrected"]
    refused(patch(house.federation, path, {"types": ["gossip"]}), 422, "unknown_message_type")
    refused(patch(house.federation, path, {"secret": "mine"}), 422, "invalid")


@pytest.mark.parametrize(
    ("url", "code"),
    [
        ("http://federation.example/hooks", "url_without_tls"),
        ("https://127.0.0.1/hooks", "address_not_public"),
        ("https://[::1]/hooks", "address_not_public"),
        ("https://user:pw@federation.example/", "url_unusable"),
    ],
)
def test_nothing_is_sent_to_an_address_that_is_not_public(
    house: House, url: str, code: str
) -> None:
    assert refused(house.federation.post(PATH, WANTED | {"url": url}), 422, code)["field"] == "url"
    path = f"{PATH}/{opened(house.federation)['id']}"
    refused(patch(house.federation, path, {"url": url}), 422, code)


def test_a_removed_subscription_is_gone(house: House) -> None:
    path = f"{PATH}/{opened(house.federation)['id']}"
    answer = house.federation.delete(path)
    assert (answer.status_code, answer.data) == (204, b"")
    refused(house.federation.get(path), 404, "unknown_subscriber")
    refused(house.federation.delete(path), 404, "unknown_subscriber")


def test_a_key_knows_its_own_and_the_office_those_of_its_shows(house: House) -> None:
    made = opened(house.federation)
    path = f"{PATH}/{made['id']}"
    refused(house.hand("federation").get(path), 404, "unknown_subscriber")
    assert done(house.office.get(path))["label"] == "Our copy"
    done(house.office.post("/v1/shows", SHOW | {"id": "elsewhere"}))
    bound = house.hand("office", show="elsewhere")
    assert done(bound.get(PATH))["items"] == []
    refused(bound.post(PATH, WANTED | {"show": "three-rivers"}), 403, "other_show")
    refused(house.public.post(PATH, WANTED), 403, "role_not_allowed")
