"""Subscribing, and doing all there is to do, as the tests of messages do it."""

from datetime import timedelta

from standardwebhooks.webhooks import Webhook

from service.desk import subscriptions
from service.desk.subscriptions import Opened, Subscription
from service.reach import Reach, read_networks
from service.store.subscribers import Subscriber
from service.workers.works import Works
from tests.workers.office import Office
from tests.workers.receiver import Received

LOOPBACK = Reach(networks=read_networks("127.0.0.0/8"), without_tls=True)
AT_ONCE = timedelta(0)


def subscribe(
    office: Office,
    url: str,
    *,
    types: tuple[str, ...] = (),
    show: str | None = None,
    after: int | None = None,
) -> Opened:
    wanted = Subscription(url=url, label="Federation", types=types, show=show)
    ask = office.ask("federation")
    return subscriptions.subscribe(office.desk, ask, LOOPBACK, wanted, after=after)


def work(works: Works) -> None:
    """Everything that can be done now is done."""
    works.follow("publications")
    for identifier in works.offer(again_after=AT_ONCE):
        works.do(identifier)


def state_of(office: Office, opened: Opened) -> Subscriber:
    """How a subscriber stands."""
    caller = office.ask("federation").caller
    return subscriptions.one(office.desk, caller, opened.subscriber.id)


def verified(got: Received, secret: str) -> dict[str, object]:
    """What a message says, once the specification's own library has verified it."""
    told: dict[str, object] = Webhook(secret).verify(got.body, got.headers)
    return told
