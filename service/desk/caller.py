"""Who asks, and the envelope round what is asked."""

import hashlib
import uuid
from datetime import datetime

import msgspec

from events.envelope import Actor, Role
from events.refusals import Refusal
from service.store.keys import ApiKey


class Caller(msgspec.Struct, frozen=True, kw_only=True):
    """Whoever holds a key: its role, what it is bound to, the device in hand."""

    key: str
    role: Role
    show: str | None = None
    seat: str | None = None
    federation: str | None = None
    device: str | None = None

    @property
    def actor(self) -> Actor:
        """The caller as events name it."""
        return Actor(key=self.key, role=self.role, seat=self.seat, device=self.device)


class Ask(msgspec.Struct, frozen=True, kw_only=True):
    """One command's envelope: who sent it, under which id of its own, and when it was meant.

    ``id`` counts within the caller's key: the same id again is the same command. Without
    ``occurred_at`` it happened when it reached the desk. ``expected_version``, where given, is the
    version of the show or class that the caller decided on.
    """

    caller: Caller
    id: str
    occurred_at: datetime | None = None
    expected_version: int | None = None

    def made_id(self) -> str:
        """An id for what the command makes, the same whenever it is sent again (UUID version 8)."""
        digest = hashlib.sha256(f"{self.caller.key}\n{self.id}".encode()).digest()
        number = int.from_bytes(digest[:16])
        number = number & ~(0xF << 76) | 0x8 << 76
        return str(uuid.UUID(int=number & ~(0b11 << 62) | 0b10 << 62))


class Receipt(msgspec.Struct, frozen=True, kw_only=True):
    """What a command led to: the version after it, and how many events it added.

    ``repeated`` when it had been carried out before and nothing was done now.
    """

    id: str
    version: int
    events: int
    repeated: bool


def caller_of(key: ApiKey, device: str | None = None) -> Caller:
    """Whoever holds that key."""
    return Caller(
        key=key.id,
        role=key.role,
        show=key.show_id,
        seat=key.seat,
        federation=key.federation,
        device=device,
    )


def check_show(caller: Caller, show: str) -> None:
    """Refuse a key that is bound to another show."""
    if caller.show not in {None, show}:
        raise Refusal(
            "other_show",
            "This key is bound to another show.",
            rule="a key bound to one show reads and writes nothing of another",
            key_show=caller.show,
        )


def check_whole_house(caller: Caller, what: str) -> None:
    """Refuse a key that is bound to one show what touches all of them."""
    if caller.show is not None:
        raise Refusal(
            "other_show",
            f"This key is bound to one show, and {what} concerns them all.",
            rule="a key bound to one show reads and writes nothing of another",
            key_show=caller.show,
        )
