"""Sending messages to subscribers as the Standard Webhooks specification says.

https://www.standardwebhooks.com: ``webhook-id`` stays the same for a message however often it is
sent, and each signature is HMAC-SHA256 over id, time of the attempt and body, one for each secret
in use.
"""

import base64
import hashlib
import hmac
import re
from collections.abc import Sequence
from datetime import datetime, timedelta
from email.utils import parsedate_to_datetime

import msgspec
from sqlalchemy import Connection

from service.reach import Reach
from service.store import notices, subscribers
from service.store.engine import Database
from service.store.notices import Errand, Notice
from service.store.outbox import Work
from service.store.subscribers import SECRET_MARK, Subscriber
from service.workers.backoff import Waits
from service.workers.follow import Clock
from service.workers.post import Answer, NotSent, post
from service.workers.work import Record, TryLater

WAITS = Waits(first=timedelta(seconds=10), longest=timedelta(hours=12), attempts=20)
"""A receiver that is down for two days has missed nothing; after three to four it is given up."""

GIVE_UP_AFTER = timedelta(days=5)
"""A subscriber that has answered nothing rightly for so long is paused."""

GONE = 410
_OK = range(200, 300)
_REDIRECTS = range(300, 400)
_SECONDS = re.compile(r"[0-9]{1,8}")
_decode_errand = msgspec.json.Decoder(Errand).decode


class GoneForGood(TryLater):
    """The subscriber answered that nothing is taken there any more (410)."""


class Webhooks:
    """The job of sending one message to one subscriber."""

    kind = notices.KIND
    waits = WAITS

    def __init__(self, database: Database, reach: Reach, clock: Clock) -> None:
        self._database = database
        self._reach = reach
        self._clock = clock

    def carry_out(self, work: Work) -> Record:
        """Send the message; ``TryLater`` unless the subscriber answers that it has it."""
        errand = _decode_errand(work.payload)
        with self._database.reading() as connection:
            to = subscribers.find(connection, errand.subscriber)
            what = notices.find(connection, errand.notice)
            secrets = subscribers.signing_secrets(connection, errand.subscriber, now=self._clock())
        if to is None or what is None:
            return _nothing  # the subscriber was removed meanwhile
        self._send(to, what, secrets)
        return lambda connection, now: subscribers.record_delivery(connection, to.id, now=now)

    def lock(self, connection: Connection, work: Work) -> None:
        """Lock the subscriber, whom pausing and resuming lock before their messages as well."""
        subscribers.find(connection, _decode_errand(work.payload).subscriber, lock=True)

    def failed(self, connection: Connection, work: Work, error: Exception, now: datetime) -> None:
        """Count the failure, and pause a subscriber that is gone or has long been failing."""
        errand = _decode_errand(work.payload)
        to = subscribers.find(connection, errand.subscriber)
        if to is None:
            return
        subscribers.record_failure(connection, to.id, str(error), now=now)
        why = self._why_pause(to, work, error, now)
        if why is not None and to.paused_at is None:
            subscribers.pause(connection, to.id, why, now=now)

    def _send(self, to: Subscriber, what: Notice, secrets: Sequence[str]) -> None:
        now = self._clock()
        headers = {
            "Content-Type": "application/json",
            "User-Agent": "Ringfold",
            **signed_headers(what.id, what.body, secrets, now),
        }
        try:
            answer = post(to.url, what.body, headers, self._reach)
        except NotSent as error:
            raise TryLater(str(error)) from error
        if answer.status in _OK:
            return
        if answer.status == GONE:
            raise GoneForGood("it answered that it is gone for good")
        raise TryLater(_said(answer), _asked_wait(answer, now))

    def _why_pause(self, to: Subscriber, work: Work, error: Exception, now: datetime) -> str | None:
        if isinstance(error, GoneForGood):
            return str(error)
        if work.attempts >= self.waits.attempts:
            return f"a message could not be delivered in {work.attempts} attempts: {error}"
        if to.failing_since is not None and now - to.failing_since > GIVE_UP_AFTER:
            return f"nothing could be delivered for {GIVE_UP_AFTER.days} days: {error}"
        return None


def signed_headers(
    identifier: str, body: bytes, secrets: Sequence[str], now: datetime
) -> dict[str, str]:
    """The three headers of the specification."""
    timestamp = str(int(now.timestamp()))
    signed = b".".join((identifier.encode(), timestamp.encode(), body))
    return {
        "webhook-id": identifier,
        "webhook-timestamp": timestamp,
        "webhook-signature": " ".join(_signature(secret, signed) for secret in secrets),
    }


def _signature(secret: str, signed: bytes) -> str:
    key = base64.b64decode(secret.removeprefix(SECRET_MARK))
    return f"v1,{base64.b64encode(hmac.new(key, signed, hashlib.sha256).digest()).decode()}"


def _said(answer: Answer) -> str:
    if answer.status in _REDIRECTS:
        return f"it answered {answer.status}, and redirects are not followed"
    return f"it answered {answer.status}"


def _asked_wait(answer: Answer, now: datetime) -> timedelta | None:
    """How long the answer asks to wait (RFC 9110, section 10.2.3)."""
    asked = (answer.retry_after or "").strip()
    if _SECONDS.fullmatch(asked):
        return timedelta(seconds=int(asked))
    try:
        return max(parsedate_to_datetime(asked) - now, timedelta(0))
    except (ValueError, TypeError):  # none, or none that can be read: our own wait it is
        return None


def _nothing(_: Connection, __: datetime) -> None:
    """There is nothing to record."""
