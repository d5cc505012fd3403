"""Messages to subscribers: signed by the open specification, and none of them ever lost."""

import json
import re
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta

import pytest
import time_machine
from sqlalchemy import text
from standardwebhooks.webhooks import Webhook, WebhookVerificationError

from events.refusals import Refusal
from service.desk import subscriptions
from service.desk.desk import Desk
from service.desk.subscriptions import Opened, Subscription
from service.publishing.links import Links
from service.reach import Reach, read_networks
from service.store import followers, notices, outbox, publications
from service.store.subscribers import Subscriber
from service.store.watch import watch
from service.trust.trust import Trust
from service.workers.publish import Publications
from service.workers.webhooks import GIVE_UP_AFTER, WAITS, Webhooks, signed_headers
from service.workers.works import Works
from tests.workers.both import ON_BOTH
from tests.workers.clock import Clock
from tests.workers.office import SHOW, Office
from tests.workers.receiver import Received, Receiver, receiving
from tests.workers.waiting import until

LOOPBACK = Reach(networks=read_networks("127.0.0.0/8"), without_tls=True)
AT_ONCE = timedelta(0)


@pytest.fixture
def receiver() -> Iterator[Receiver]:
    with receiving() as found:
        yield found


@pytest.fixture
def works(desk: Desk, trust: Trust) -> Works:
    made = Works(
        desk,
        [Publications(desk, trust, Links(base="https://results.example"))],
        [Webhooks(desk.database, LOOPBACK, desk.clock)],
        trust,
    )
    made.register()
    return made


def _subscribe(
    office: Office,
    url: str,
    *,
    types: tuple[str, ...] = (),
    show: str | None = None,
    after: int | None = None,
) -> Opened:
    wanted = Subscription(url=url, label="Federation", types=types, show=show)
    return subscriptions.subscribe(
        office.desk, office.ask("federation"), LOOPBACK, wanted, after=after
    )


def _work(works: Works) -> None:
    """Everything that can be done now is done."""
    works.follow("publications")
    for identifier in works.offer(again_after=AT_ONCE):
        works.do(identifier)


def _state(office: Office, opened: Opened) -> Subscriber:
    return subscriptions.one(office.desk, office.ask("federation").caller, opened.subscriber.id)


def _verified(got: Received, secret: str) -> dict[str, object]:
    told: dict[str, object] = Webhook(secret).verify(got.body, got.headers)
    return told


# --- what is sent -----------------------------------------------------------------------------


@ON_BOTH
def test_a_subscriber_is_told_of_every_revision_once(
    office: Office, works: Works, receiver: Receiver
) -> None:
    opened = _subscribe(office, receiver.url)
    office.publish("c-1")
    office.correct("c-1", mark=2)
    for _ in range(3):
        _work(works)
    told = [_verified(each, opened.secret) for each in receiver.got]
    assert [each["type"] for each in told] == ["result.published", "result.corrected"]
    assert len(set(receiver.ids())) == 2


def test_a_message_is_thin_and_says_where_the_results_are(
    office: Office, works: Works, receiver: Receiver
) -> None:
    opened = _subscribe(office, receiver.url)
    office.publish("c-1")
    _work(works)
    (published,) = publications.of_class(office.desk.database, "c-1")
    (got,) = receiver.got
    assert (
        json.loads(got.body)
        == _verified(got, opened.secret)
        == {
            "type": "result.published",
            "timestamp": published.official_at.isoformat(timespec="microseconds")[:26] + "Z",
            "data": {
                "class": "c-1",
                "show": SHOW,
                "revision": 1,
                "version": published.version,
                "position": published.position,
                "url": "https://results.example/v1/classes/c-1/publications/1",
            },
        }
    )
    assert got.path == "/ringfold?for=us"
    assert got.headers["content-type"] == "application/json"
    assert re.fullmatch(r"msg_[0-9a-f-]{36}", got.id)


def test_a_message_that_was_altered_on_the_way_is_not_verified(
    office: Office, works: Works, receiver: Receiver
) -> None:
    opened = _subscribe(office, receiver.url)
    office.publish("c-1")
    _work(works)
    (got,) = receiver.got
    altered = got._replace(body=got.body.replace(b'"revision":1', b'"revision":2'))
    with pytest.raises(WebhookVerificationError):
        _verified(altered, opened.secret)


def test_the_signature_of_the_specifications_own_example() -> None:
    """The worked example of the Standard Webhooks repository (its Python library's tests)."""
    body = b'{"test": 2432232314}'
    secret = "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw"
    sent_at = datetime.fromtimestamp(1614265330, UTC)
    headers = signed_headers("msg_p5jXN8AQM9LWM0D4loKWxJek", body, [secret], sent_at)
    assert headers["webhook-signature"] == "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE="


def test_while_a_secret_is_rotated_both_verify_and_later_only_the_new_one(
    office: Office, works: Works, receiver: Receiver, clock: Clock
) -> None:
    opened = _subscribe(office, receiver.url)
    caller = office.ask("federation").caller
    renewed = subscriptions.rotate_secret(office.desk, caller, opened.subscriber.id)
    assert renewed.secret != opened.secret
    office.publish("c-1")
    _work(works)
    (first,) = receiver.got
    assert _verified(first, opened.secret) == _verified(first, renewed.secret)
    assert first.headers["webhook-signature"].count("v1,") == 2

    clock.move(hours=25)
    works.clean_up()
    office.correct("c-1", mark=2)
    with time_machine.travel(clock(), tick=False):
        _work(works)
        second = receiver.got[-1]
        assert _verified(second, renewed.secret)
        with pytest.raises(WebhookVerificationError):
            _verified(second, opened.secret)


def test_only_the_types_and_the_show_that_were_asked_for_are_sent(
    office: Office, works: Works
) -> None:
    with receiving() as corrections, receiving() as of_the_show, receiving() as of_another:
        _subscribe(office, corrections.url, types=(notices.CORRECTED,))
        _subscribe(office, of_the_show.url, show=SHOW)
        other = _subscribe(office, of_another.url)
        with office.desk.database.writing() as connection:
            connection.exec_driver_sql(
                f"UPDATE subscriber SET show_id = 'elsewhere' WHERE id = '{other.subscriber.id}'"
            )
        office.publish("c-1")
        office.correct("c-1", mark=2)
        _work(works)
        assert len(corrections.got) == 1
        assert json.loads(corrections.got[0].body)["type"] == "result.corrected"
        assert len(of_the_show.got) == 2
        assert of_another.got == []


# --- when it does not arrive ------------------------------------------------------------------


@ON_BOTH
def test_a_receiver_that_was_down_holds_every_revision_afterwards(
    office: Office, works: Works, clock: Clock
) -> None:
    with receiving() as first:
        port = first.port
        opened = _subscribe(office, first.url)
    office.publish("c-1")
    office.correct("c-1", mark=2)
    for attempt in range(1, 6):
        _work(works)
        clock.move(seconds=WAITS.bound(attempt).total_seconds())
    state = _state(office, opened)
    assert state.failures == 10
    assert "Connection refused" in str(state.last_error)
    with receiving(port) as again:
        _work(works)
        types = {json.loads(each.body)["type"] for each in again.got}
        assert types == {"result.published", "result.corrected"}
    assert _state(office, opened).failures == 0


@pytest.mark.parametrize("status", [301, 307, 400, 404, 429, 500, 503])
def test_only_an_answer_of_success_counts_as_delivered(
    office: Office, works: Works, receiver: Receiver, clock: Clock, status: int
) -> None:
    opened = _subscribe(office, receiver.url)
    receiver.status = status
    receiver.answer_headers = {"Location": f"{receiver.url}/elsewhere"}
    office.publish("c-1")
    _work(works)
    assert len(receiver.got) == 1  # no redirect was followed
    assert str(status) in str(_state(office, opened).last_error)
    receiver.status = 200
    clock.move(hours=12)
    _work(works)
    assert receiver.ids() == receiver.ids()[:1] * 2
    assert _state(office, opened).delivered_at == clock()


def test_a_receiver_may_say_when_it_wants_the_next_attempt(
    office: Office, works: Works, receiver: Receiver, clock: Clock
) -> None:
    _subscribe(office, receiver.url)
    receiver.status, receiver.answer_headers = 503, {"Retry-After": "1800"}
    office.publish("c-1")
    _work(works)
    clock.move(minutes=29)
    _work(works)
    assert len(receiver.got) == 1
    clock.move(minutes=1)
    _work(works)
    assert len(receiver.got) == 2


def test_an_endless_answer_is_not_read_to_its_end(
    office: Office, works: Works, receiver: Receiver
) -> None:
    opened = _subscribe(office, receiver.url)
    receiver.status, receiver.answer = 200, b"x" * 50_000_000
    office.publish("c-1")
    _work(works)
    assert _state(office, opened).delivered_at is not None


def test_a_subscriber_that_is_gone_is_paused_at_once(
    office: Office, works: Works, receiver: Receiver, clock: Clock
) -> None:
    opened = _subscribe(office, receiver.url)
    receiver.status = 410
    office.publish("c-1")
    _work(works)
    assert _state(office, opened).paused_why == "it answered that it is gone for good"
    clock.move(days=1)
    _work(works)
    assert len(receiver.got) == 1


@ON_BOTH
def test_a_subscriber_that_nothing_reaches_is_paused_and_loses_nothing(
    office: Office, works: Works, receiver: Receiver, clock: Clock
) -> None:
    opened = _subscribe(office, receiver.url)
    receiver.status = 500
    office.publish("c-1")
    for attempt in range(1, WAITS.attempts + 1):
        _work(works)
        clock.move(seconds=WAITS.bound(attempt).total_seconds())
    paused = _state(office, opened)
    assert paused.paused_at is not None
    assert f"in {WAITS.attempts} attempts" in str(paused.paused_why)
    (dead,) = outbox.failed(office.desk.database)
    assert dead.owner == opened.subscriber.id

    office.correct("c-1", mark=2)
    receiver.status = 204
    before = len(receiver.got)
    _work(works)
    assert len(receiver.got) == before

    caller = office.ask("federation").caller
    assert subscriptions.resume(office.desk, caller, opened.subscriber.id) == 2
    _work(works)
    told = {json.loads(each.body)["data"]["revision"] for each in receiver.got[before:]}
    assert told == {1, 2}
    assert outbox.failed(office.desk.database) == ()


@ON_BOTH
def test_several_that_fail_at_once_pause_a_subscriber_and_stand_in_nobodys_way(
    office: Office, works: Works, receiver: Receiver
) -> None:
    opened = _subscribe(office, receiver.url)
    receiver.status = 410
    office.publish("c-1")
    for number in range(7):
        office.correct("c-1", mark=number - 3)
    works.follow("publications")
    rows = works.offer(again_after=AT_ONCE)
    assert len(rows) == 8
    with ThreadPoolExecutor(8) as several:
        assert not any(several.map(works.do, rows))
    assert _state(office, opened).paused_at is not None
    depth = watch(office.desk.log, now=office.desk.clock()).outbox
    assert (depth.held, depth.due, depth.later, depth.dead) == (8, 0, 0, 0)


def test_a_subscriber_that_has_failed_for_days_is_paused(
    office: Office, works: Works, receiver: Receiver, clock: Clock
) -> None:
    opened = _subscribe(office, receiver.url)
    receiver.status = 500
    office.publish("c-1")
    _work(works)
    clock.move(seconds=GIVE_UP_AFTER.total_seconds() + 1)
    _work(works)
    assert "for 5 days" in str(_state(office, opened).paused_why)


def test_a_subscriber_paused_by_hand_is_sent_what_it_missed_when_it_is_resumed(
    office: Office, works: Works, receiver: Receiver
) -> None:
    opened = _subscribe(office, receiver.url)
    caller = office.ask("federation").caller
    subscriptions.pause(office.desk, caller, opened.subscriber.id)
    office.publish("c-1")
    _work(works)
    assert receiver.got == []
    subscriptions.resume(office.desk, caller, opened.subscriber.id)
    _work(works)
    assert len(receiver.got) == 1


def test_a_removed_subscriber_is_sent_nothing_more(
    office: Office, works: Works, receiver: Receiver
) -> None:
    opened = _subscribe(office, receiver.url)
    office.publish("c-1")
    works.follow("publications")
    (waiting,) = works.offer(again_after=AT_ONCE)
    caller = office.ask("federation").caller
    subscriptions.remove(office.desk, caller, opened.subscriber.id)
    assert not works.do(waiting)
    office.correct("c-1", mark=2)
    _work(works)
    assert receiver.got == []
    with pytest.raises(Refusal, match="No subscriber has the id"):
        _state(office, opened)


# --- from where on ----------------------------------------------------------------------------


def test_a_new_subscriber_is_told_of_what_comes_and_not_of_what_was(
    office: Office, works: Works, receiver: Receiver
) -> None:
    office.publish("c-1")
    _work(works)
    _subscribe(office, receiver.url)
    office.correct("c-1", mark=2)
    _work(works)
    assert [json.loads(each.body)["data"]["revision"] for each in receiver.got] == [2]


def test_a_new_subscriber_may_ask_for_what_was_from_a_position_on(
    office: Office, works: Works, receiver: Receiver
) -> None:
    office.publish("c-1")
    office.correct("c-1", mark=2)
    _work(works)
    first, _ = publications.of_class(office.desk.database, "c-1")
    with receiving() as late:
        _subscribe(office, receiver.url, after=0)
        _subscribe(office, late.url, after=first.position)
        _work(works)
        told = [json.loads(each.body)["data"]["revision"] for each in receiver.got]
        assert sorted(told) == [1, 2]
        assert [json.loads(each.body)["data"]["revision"] for each in late.got] == [2]


def test_what_was_not_published_yet_is_announced_to_whoever_subscribed_meanwhile(
    office: Office, works: Works, receiver: Receiver
) -> None:
    office.publish("c-1")
    _subscribe(office, receiver.url)
    _work(works)
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
            opened = another.submit(_subscribe, office, receiver.url, after=0)
            assert until(somebody_waits)
        assert opened.result().subscriber.url == receiver.url
    _work(works)
    assert [json.loads(each.body)["data"] for each in receiver.got] == [{"class": "c-9"}]


@ON_BOTH
def test_a_replay_sends_everything_again_under_the_ids_it_had(
    office: Office, works: Works, receiver: Receiver
) -> None:
    opened = _subscribe(office, receiver.url)
    office.publish("c-1")
    office.correct("c-1", mark=2)
    _work(works)
    before = receiver.ids()
    caller = office.ask("federation").caller
    assert subscriptions.replay(office.desk, caller, opened.subscriber.id, after=0) == 2
    assert subscriptions.replay(office.desk, caller, opened.subscriber.id, after=0) == 0
    _work(works)
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
    opened = _subscribe(office, "http://127.0.0.1:9/")
    stranger = office.ask("steward").caller
    assert subscriptions.listed(office.desk, stranger) == ()
    with pytest.raises(Refusal) as refused:
        subscriptions.rotate_secret(office.desk, stranger, opened.subscriber.id)
    assert refused.value.code == "unknown_subscriber"
    assert len(subscriptions.listed(office.desk, office.ask("office").caller)) == 1


def test_a_key_opens_only_so_many(office: Office) -> None:
    for _ in range(subscriptions.MOST_OF_ONE_KEY):
        _subscribe(office, "http://127.0.0.1:9/")
    with pytest.raises(Refusal) as refused:
        _subscribe(office, "http://127.0.0.1:9/")
    assert refused.value.code == "too_many_subscribers"


def test_messages_go_to_the_new_address_once_it_was_changed(
    office: Office, works: Works, receiver: Receiver
) -> None:
    opened = _subscribe(office, "http://127.0.0.1:9/")
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
    _work(works)
    assert len(receiver.got) == 1
