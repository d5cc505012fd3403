"""Subscriptions: from where on, what is sent again, and what is refused."""

import json
from concurrent.futures import ThreadPoolExecutor

import pytest
from sqlalchemy import text

from events.refusals import Refusal
from service.desk import subscriptions
from service.desk.subscriptions import Subscription
from service.reach import Reach
from service.store import followers, notices, publications
from service.workers.works import Works
from tests.workers.both import ON_BOTH
from tests.workers.office import Office
from tests.workers.receiver import Receiver, receiving
from tests.workers.sending import LOOPBACK, subscribe, work
from tests.workers.waiting import until

# --- from where on ----------------------------------------------------------------------------


def test_a_new_subscriber_is_told_of_what_comes_and_not_of_what_was(
    office: Office, works: Works, receiver: Receiver
) -> None:
    office.publish("c-1")
    work(works)
    subscribe(office, receiver.url)
    office.correct("c-1", mark=2)
    work(works)
    assert [json.loads(each.body)["data"]["revision"] for each in receiver.got] == [2]


def test_a_new_subscriber_may_ask_for_what_was_from_a_position_on(
    office: Office, works: Works, receiver: Receiver
) -> None:
    office.publish("c-1")
    office.correct("c-1", mark=2)
    work(works)
    first, _ = publications.of_class(office.desk.database, "c-1")
    with receiving() as late:
        subscribe(office, receiver.url, after=0)
        subscribe(office, late.url, after=first.position)
        work(works)
        told = [json.loads(each.body)["data"]["revision"] for each in receiver.got]
        assert sorted(told) == [1, 2]
        assert [json.loads(each.body)["data"]["revision"] for each in late.got] == [2]


def test_what_was_not_published_yet_is_announced_to_whoever_subscribed_meanwhile(
    office: Office, works: Works, receiver: Receiver
) -> None:
    office.publish("c-1")
    subscribe(office, receiver.url)
    work(works)
    assert len(receiver.got) == 1


@pytest.mark.parametrize(
    "url", [pytest.param("postgres_path", marks=pytest.mark.postgres)], indirect=True
)
def test_whoever_subscribes_while_something_is_being_published_misses_nothing(
    office: Office, works: Works, receiver: Receiver
) -> None:
    database, now = office.desk.database, office.desk.clock()
    waiting = text(
        "SELECT count(*) FROM pg_stat_activity"
        " WHERE datname = current_database() AND wait_event_type = 'Lock'"
    )

    def somebody_waits() -> bool:
        with database.reading() as connection:
            count: int = connection.execute(waiting).scalar_one()
        return count > 0

    with ThreadPoolExecutor(1) as another:
        with database.writing() as connection:
            followers.locked(connection, "publications")
            notices.announce(
                connection, about=notices.PUBLISHED, key="result/c-9/1", position=9,
                happened_at=now, data={"class": "c-9"}, now=now,
            )  # fmt: skip
            opened = another.submit(subscribe, office, receiver.url, after=0)
            assert until(somebody_waits)
        assert opened.result().subscriber.url == receiver.url
    work(works)
    assert [json.loads(each.body)["data"] for each in receiver.got] == [{"class": "c-9"}]


@ON_BOTH
def test_a_replay_sends_everything_again_under_the_ids_it_had(
    office: Office, works: Works, receiver: Receiver
) -> None:
    opened = subscribe(office, receiver.url)
    office.publish("c-1")
    office.correct("c-1", mark=2)
    work(works)
    before = receiver.ids()
    caller = office.ask("federation").caller
    assert subscriptions.replay(office.desk, caller, opened.subscriber.id, after=0) == 2
    assert subscriptions.replay(office.desk, caller, opened.subscriber.id, after=0) == 0
    work(works)
    assert sorted(receiver.ids()) == sorted(before * 2)


# --- what is refused --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("wanted", "after", "code", "field"),
    [
        (Subscription(url="http://example.org/", label="x"), None, "url_without_tls", "url"),
        (Subscription(url="https://10.0.0.1/", label="x"), None, "address_not_public", "url"),
        (Subscription(url="ftp://example.org/", label="x"), None, "url_unusable", "url"),
        (
            Subscription(url="https://example.org/", label="x", types=("result.lost",)),
            None,
            "unknown_message_type",
            "types[0]",
        ),
        (Subscription(url="https://example.org/", label="x"), 10_000, "position_unknown", "after"),
        (Subscription(url="https://example.org/", label="x"), -1, "position_unknown", "after"),
        (
            Subscription(url="https://example.org/", label="x", show="elsewhere"),
            None,
            "unknown_show",
            None,
        ),
    ],
)
def test_what_is_wrong_with_a_subscription_is_named(
    office: Office, wanted: Subscription, after: int | None, code: str, field: str | None
) -> None:
    with pytest.raises(Refusal) as refused:
        subscriptions.subscribe(office.desk, office.ask(), Reach(), wanted, after=after)
    assert (refused.value.code, refused.value.field) == (code, field)
    assert subscriptions.listed(office.desk, office.ask().caller) == ()


def test_the_same_command_again_opens_no_second_subscriber(office: Office) -> None:
    ask = office.ask("federation")
    wanted = Subscription(url="https://example.org/", label="Federation")
    first = subscriptions.subscribe(office.desk, ask, Reach(), wanted)
    assert subscriptions.subscribe(office.desk, ask, Reach(), wanted) == first
    assert len(subscriptions.listed(office.desk, ask.caller)) == 1
    other = Subscription(url="https://example.org/elsewhere", label="Federation")
    with pytest.raises(Refusal) as refused:
        subscriptions.subscribe(office.desk, ask, Reach(), other)
    assert refused.value.code == "subscriber_id_taken"


def test_a_key_does_not_know_the_subscribers_of_another(office: Office) -> None:
    opened = subscribe(office, "http://127.0.0.1:9/")
    stranger = office.ask("steward").caller
    assert subscriptions.listed(office.desk, stranger) == ()
    with pytest.raises(Refusal) as refused:
        subscriptions.rotate_secret(office.desk, stranger, opened.subscriber.id)
    assert refused.value.code == "unknown_subscriber"
    assert len(subscriptions.listed(office.desk, office.ask("office").caller)) == 1


def test_a_key_opens_only_so_many(office: Office) -> None:
    for _ in range(subscriptions.MOST_OF_ONE_KEY):
        subscribe(office, "http://127.0.0.1:9/")
    with pytest.raises(Refusal) as refused:
        subscribe(office, "http://127.0.0.1:9/")
    assert refused.value.code == "too_many_subscribers"


def test_messages_go_to_the_new_address_once_it_was_changed(
    office: Office, works: Works, receiver: Receiver
) -> None:
    opened = subscribe(office, "http://127.0.0.1:9/")
    caller = office.ask("federation").caller
    changed = subscriptions.change(
        office.desk, caller, LOOPBACK, opened.subscriber.id,
        url=receiver.url, label="Moved", types=(notices.PUBLISHED,),
    )  # fmt: skip
    assert (changed.url, changed.label, changed.types) == (
        receiver.url, "Moved", (notices.PUBLISHED,),
    )  # fmt: skip
    office.publish("c-1")
    office.correct("c-1", mark=2)
    work(works)
    assert len(receiver.got) == 1
