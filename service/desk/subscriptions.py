"""Subscribers at the desk: who is sent messages, where, signed with what, and from where on."""

from collections.abc import Sequence
from datetime import timedelta

import msgspec

from events.envelope import stream_of
from events.refusals import Refusal
from service.desk.caller import Ask, Caller, check_show
from service.desk.carry_out import planned
from service.desk.desk import Desk
from service.reach import OutOfReach, Reach, target
from service.store import notices, subscribers
from service.store.subscribers import Subscriber

OLD_SECRET_GOOD_FOR = timedelta(days=1)
"""How long messages are signed with the secret before as well, once there is a new one."""

MOST_OF_ONE_KEY = 20
PAUSED_BY_HAND = "it was paused by hand"


class Subscription(msgspec.Struct, frozen=True, kw_only=True):
    """What is asked for: messages of some ``types``, all when none is named, to an address.

    With ``show`` only what concerns that show.
    """

    url: str
    label: str
    types: tuple[str, ...] = ()
    show: str | None = None


class Opened(msgspec.Struct, frozen=True, kw_only=True):
    """A subscriber, and the secret to check its messages with."""

    subscriber: Subscriber
    secret: str


def subscribe(
    desk: Desk, ask: Ask, reach: Reach, wanted: Subscription, *, after: int | None = None
) -> Opened:
    """Send messages from here on, or about everything beyond a position of the log.

    The same command again is answered as the first time, as long as the secret is the first.
    """
    _check(reach, wanted.url, wanted.types)
    _check_after(desk, after)
    check_show(ask.caller, wanted.show or "")
    if wanted.show is not None:
        planned(desk.shows.latest(stream_of("show", wanted.show)).state, wanted.show)
    added = Subscriber(
        id=f"sub_{ask.made_id()}",
        label=wanted.label,
        url=wanted.url,
        types=wanted.types,
        show_id=wanted.show,
        key_id=ask.caller.key,
        created_at=desk.clock(),
    )
    if known := _find(desk, added.id):
        return _opened_before(desk, known, added)
    _check_room(desk, ask.caller)
    with desk.database.writing() as connection:
        secret = subscribers.add(connection, added)
        if after is not None:
            notices.send_since(connection, added, after, now=desk.clock())
    return Opened(subscriber=added, secret=secret)


def listed(desk: Desk, caller: Caller) -> tuple[Subscriber, ...]:
    """The subscribers that a caller may know of, oldest first."""
    return tuple(each for each in subscribers.listed(desk.database) if _may_know(caller, each))


def one(desk: Desk, caller: Caller, subscriber: str) -> Subscriber:
    """One of them; or a refusal."""
    found = _find(desk, subscriber)
    if found is None or not _may_know(caller, found):
        raise Refusal(
            "unknown_subscriber",
            f"No subscriber has the id {subscriber}.",
            subscriber=subscriber,
        )
    return found


def change(
    desk: Desk,
    caller: Caller,
    reach: Reach,
    subscriber: str,
    *,
    url: str,
    label: str,
    types: Sequence[str],
) -> Subscriber:
    """Send to another address, or about other things."""
    one(desk, caller, subscriber)
    _check(reach, url, types)
    with desk.database.writing() as connection:
        subscribers.change(connection, subscriber, url=url, label=label, types=types)
    return one(desk, caller, subscriber)


def rotate_secret(desk: Desk, caller: Caller, subscriber: str) -> Opened:
    """A new secret; for a day messages bear the signature of the one before as well."""
    found = one(desk, caller, subscriber)
    with desk.database.writing() as connection:
        secret = subscribers.rotate_secret(
            connection, subscriber, now=desk.clock(), overlap=OLD_SECRET_GOOD_FOR
        )
    return Opened(subscriber=found, secret=secret)


def pause(desk: Desk, caller: Caller, subscriber: str) -> Subscriber:
    """Send nothing for now; what there would be to send is kept."""
    if one(desk, caller, subscriber).paused_at is None:
        with desk.database.writing() as connection:
            subscribers.pause(connection, subscriber, PAUSED_BY_HAND, now=desk.clock())
    return one(desk, caller, subscriber)


def resume(desk: Desk, caller: Caller, subscriber: str) -> int:
    """Send again, and first what was kept or given up meanwhile; how many messages that is."""
    one(desk, caller, subscriber)
    with desk.database.writing() as connection:
        return subscribers.resume(connection, subscriber, now=desk.clock())


def replay(desk: Desk, caller: Caller, subscriber: str, *, after: int) -> int:
    """Send everything beyond a position of the log again; how many messages that is.

    They bear the ids that they bore before, so who has one already knows it.
    """
    one(desk, caller, subscriber)
    _check_after(desk, after)
    with desk.database.writing() as connection:
        found = subscribers.find(connection, subscriber, lock=True)
        return notices.send_since(connection, found, after, now=desk.clock()) if found else 0


def remove(desk: Desk, caller: Caller, subscriber: str) -> None:
    """Send nothing any more."""
    one(desk, caller, subscriber)
    with desk.database.writing() as connection:
        subscribers.remove(connection, subscriber, now=desk.clock())


def _check(reach: Reach, url: str, types: Sequence[str]) -> None:
    try:
        target(url, reach)
    except OutOfReach as error:
        raise Refusal(error.code, error.message, field="url") from error
    for index, each in enumerate(types):
        if each not in notices.TYPES:
            raise Refusal(
                "unknown_message_type",
                f"There are no messages of the type {each}; there are: {', '.join(notices.TYPES)}.",
                field=f"types[{index}]",
            )


def _check_after(desk: Desk, after: int | None) -> None:
    head = desk.log.head().position
    if after is not None and not 0 <= after <= head:
        raise Refusal(
            "position_unknown",
            f"The log has positions up to {head}, not {after}.",
            field="after",
            head=head,
        )


def _check_room(desk: Desk, caller: Caller) -> None:
    held = sum(1 for each in subscribers.listed(desk.database) if each.key_id == caller.key)
    if held >= MOST_OF_ONE_KEY:
        raise Refusal(
            "too_many_subscribers",
            f"A key has at most {MOST_OF_ONE_KEY} subscribers.",
            rule=f"at most {MOST_OF_ONE_KEY} subscribers a key",
        )


def _opened_before(desk: Desk, known: Subscriber, asked: Subscriber) -> Opened:
    same = ("url", "label", "types", "show_id")
    if any(getattr(known, name) != getattr(asked, name) for name in same):
        raise Refusal(
            "subscriber_id_taken",
            "A subscriber was opened by this command before, for something else.",
        )
    with desk.database.reading() as connection:
        secrets = subscribers.signing_secrets(connection, known.id, now=desk.clock())
    return Opened(subscriber=known, secret=secrets[0])


def _find(desk: Desk, subscriber: str) -> Subscriber | None:
    with desk.database.reading() as connection:
        return subscribers.find(connection, subscriber)


def _may_know(caller: Caller, subscriber: Subscriber) -> bool:
    """A key knows its own; the office knows those of its show, or all of them."""
    if subscriber.key_id == caller.key:
        return True
    return caller.role == "office" and caller.show in {None, subscriber.show_id}
