"""Messages to subscribers: signed by the open specification, and none of them ever lost."""

import json
import re
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime

import pytest
import time_machine
from standardwebhooks.webhooks import WebhookVerificationError

from events.refusals import Refusal
from service.desk import subscriptions
from service.store import notices, outbox, publications
from service.store.watch import watch
from service.workers.webhooks import GIVE_UP_AFTER, WAITS, signed_headers
from service.workers.works import Works
from tests.workers.both import ON_BOTH
from tests.workers.clock import Clock
from tests.workers.office import SHOW, Office
from tests.workers.receiver import Receiver, receiving
from tests.workers.sending import AT_ONCE, state_of, subscribe, verified, work

# --- what is sent -----------------------------------------------------------------------------


@ON_BOTH
def test_a_subscriber_is_told_of_every_revision_once(
    office: Office, works: Works, receiver: Receiver
) -> None:
    opened = subscribe(office, receiver.url)
    office.publish("c-1")
    office.correct("c-1", mark=2)
    for _ in range(3):
        work(works)
    told = [verified(each, opened.secret) for each in receiver.got]
    assert [each["type"] for each in told] == ["result.published", "result.corrected"]
    assert len(set(receiver.ids())) == 2


def test_a_message_is_thin_and_says_where_the_results_are(
    office: Office, works: Works, receiver: Receiver
) -> None:
    opened = subscribe(office, receiver.url)
    office.publish("c-1")
    work(works)
    (published,) = publications.of_class(office.desk.database, "c-1")
    (got,) = receiver.got
    assert (
        json.loads(got.body)
        == verified(got, opened.secret)
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


def test_a_message_that_was_altered_on_the_way_is_notverified(
    office: Office, works: Works, receiver: Receiver
) -> None:
    opened = subscribe(office, receiver.url)
    office.publish("c-1")
    work(works)
    (got,) = receiver.got
    altered = got._replace(body=got.body.replace(b'"revision":1', b'"revision":2'))
    with pytest.raises(WebhookVerificationError):
        verified(altered, opened.secret)


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
    opened = subscribe(office, receiver.url)
    caller = office.ask("federation").caller
    renewed = subscriptions.rotate_secret(office.desk, caller, opened.subscriber.id)
    assert renewed.secret != opened.secret
    office.publish("c-1")
    work(works)
    (first,) = receiver.got
    assert verified(first, opened.secret) == verified(first, renewed.secret)
    assert first.headers["webhook-signature"].count("v1,") == 2

    clock.move(hours=25)
    works.clean_up()
    office.correct("c-1", mark=2)
    with time_machine.travel(clock(), tick=False):
        work(works)
        second = receiver.got[-1]
        assert verified(second, renewed.secret)
        with pytest.raises(WebhookVerificationError):
            verified(second, opened.secret)


def test_only_the_types_and_the_show_that_were_asked_for_are_sent(
    office: Office, works: Works
) -> None:
    with receiving() as corrections, receiving() as of_the_show, receiving() as of_another:
        subscribe(office, corrections.url, types=(notices.CORRECTED,))
        subscribe(office, of_the_show.url, show=SHOW)
        other = subscribe(office, of_another.url)
        with office.desk.database.writing() as connection:
            connection.exec_driver_sql(
                f"UPDATE subscriber SET show_id = 'elsewhere' WHERE id = '{other.subscriber.id}'"
            )
        office.publish("c-1")
        office.correct("c-1", mark=2)
        work(works)
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
        opened = subscribe(office, first.url)
    office.publish("c-1")
    office.correct("c-1", mark=2)
    for attempt in range(1, 6):
        work(works)
        clock.move(seconds=WAITS.bound(attempt).total_seconds())
    state = state_of(office, opened)
    assert state.failures == 10
    assert "Connection refused" in str(state.last_error)
    with receiving(port) as again:
        work(works)
        types = {json.loads(each.body)["type"] for each in again.got}
        assert types == {"result.published", "result.corrected"}
    assert state_of(office, opened).failures == 0


@pytest.mark.parametrize("status", [301, 307, 400, 404, 429, 500, 503])
def test_only_an_answer_of_success_counts_as_delivered(
    office: Office, works: Works, receiver: Receiver, clock: Clock, status: int
) -> None:
    opened = subscribe(office, receiver.url)
    receiver.status = status
    receiver.answer_headers = {"Location": f"{receiver.url}/elsewhere"}
    office.publish("c-1")
    work(works)
    assert len(receiver.got) == 1  # no redirect was followed
    assert str(status) in str(state_of(office, opened).last_error)
    receiver.status = 200
    clock.move(hours=12)
    work(works)
    assert receiver.ids() == receiver.ids()[:1] * 2
    assert state_of(office, opened).delivered_at == clock()


def test_a_receiver_may_say_when_it_wants_the_next_attempt(
    office: Office, works: Works, receiver: Receiver, clock: Clock
) -> None:
    subscribe(office, receiver.url)
    receiver.status, receiver.answer_headers = 503, {"Retry-After": "1800"}
    office.publish("c-1")
    work(works)
    clock.move(minutes=29)
    work(works)
    assert len(receiver.got) == 1
    clock.move(minutes=1)
    work(works)
    assert len(receiver.got) == 2


def test_an_endless_answer_is_not_read_to_its_end(
    office: Office, works: Works, receiver: Receiver
) -> None:
    opened = subscribe(office, receiver.url)
    receiver.status, receiver.answer = 200, b"x" * 50_000_000
    office.publish("c-1")
    work(works)
    assert state_of(office, opened).delivered_at is not None


def test_a_subscriber_that_is_gone_is_paused_at_once(
    office: Office, works: Works, receiver: Receiver, clock: Clock
) -> None:
    opened = subscribe(office, receiver.url)
    receiver.status = 410
    office.publish("c-1")
    work(works)
    assert state_of(office, opened).paused_why == "it answered that it is gone for good"
    clock.move(days=1)
    work(works)
    assert len(receiver.got) == 1


@ON_BOTH
def test_a_subscriber_that_nothing_reaches_is_paused_and_loses_nothing(
    office: Office, works: Works, receiver: Receiver, clock: Clock
) -> None:
    opened = subscribe(office, receiver.url)
    receiver.status = 500
    office.publish("c-1")
    for attempt in range(1, WAITS.attempts + 1):
        work(works)
        clock.move(seconds=WAITS.bound(attempt).total_seconds())
    paused = state_of(office, opened)
    assert paused.paused_at is not None
    assert f"in {WAITS.attempts} attempts" in str(paused.paused_why)
    (dead,) = outbox.failed(office.desk.database)
    assert dead.owner == opened.subscriber.id

    office.correct("c-1", mark=2)
    receiver.status = 204
    before = len(receiver.got)
    work(works)
    assert len(receiver.got) == before

    caller = office.ask("federation").caller
    assert subscriptions.resume(office.desk, caller, opened.subscriber.id) == 2
    work(works)
    told = {json.loads(each.body)["data"]["revision"] for each in receiver.got[before:]}
    assert told == {1, 2}
    assert outbox.failed(office.desk.database) == ()


@ON_BOTH
def test_several_that_fail_at_once_pause_a_subscriber_and_stand_in_nobodys_way(
    office: Office, works: Works, receiver: Receiver
) -> None:
    opened = subscribe(office, receiver.url)
    receiver.status = 410
    office.publish("c-1")
    for number in range(7):
        office.correct("c-1", mark=number - 3)
    works.follow("publications")
    rows = works.offer(again_after=AT_ONCE)
    assert len(rows) == 8
    with ThreadPoolExecutor(8) as several:
        assert not any(several.map(works.do, rows))
    assert state_of(office, opened).paused_at is not None
    depth = watch(office.desk.log, now=office.desk.clock()).outbox
    assert (depth.held, depth.due, depth.later, depth.dead) == (8, 0, 0, 0)


def test_a_subscriber_that_has_failed_for_days_is_paused(
    office: Office, works: Works, receiver: Receiver, clock: Clock
) -> None:
    opened = subscribe(office, receiver.url)
    receiver.status = 500
    office.publish("c-1")
    work(works)
    clock.move(seconds=GIVE_UP_AFTER.total_seconds() + 1)
    work(works)
    assert "for 5 days" in str(state_of(office, opened).paused_why)


def test_a_subscriber_paused_by_hand_is_sent_what_it_missed_when_it_is_resumed(
    office: Office, works: Works, receiver: Receiver
) -> None:
    opened = subscribe(office, receiver.url)
    caller = office.ask("federation").caller
    subscriptions.pause(office.desk, caller, opened.subscriber.id)
    office.publish("c-1")
    work(works)
    assert receiver.got == []
    subscriptions.resume(office.desk, caller, opened.subscriber.id)
    work(works)
    assert len(receiver.got) == 1


def test_a_removed_subscriber_is_sent_nothing_more(
    office: Office, works: Works, receiver: Receiver
) -> None:
    opened = subscribe(office, receiver.url)
    office.publish("c-1")
    works.follow("publications")
    (waiting,) = works.offer(again_after=AT_ONCE)
    caller = office.ask("federation").caller
    subscriptions.remove(office.desk, caller, opened.subscriber.id)
    assert not works.do(waiting)
    office.correct("c-1", mark=2)
    work(works)
    assert receiver.got == []
    with pytest.raises(Refusal, match="No subscriber has the id"):
        state_of(office, opened)
