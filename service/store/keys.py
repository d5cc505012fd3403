"""Keys of the HTTP interface: shown once when made, kept only as a hash."""

import hashlib
import hmac
import secrets
from datetime import datetime
from typing import Literal, get_args

import msgspec
from sqlalchemy import bindparam, insert, select, update

from service.store.engine import Database
from service.store.tables import api_key

KeyRole = Literal["office", "scribe", "steward", "federation", "public"]
ROLES: tuple[KeyRole, ...] = get_args(KeyRole)
PREFIX = "ringfold"
"""How every key begins, so that one that got into a file by mistake can be searched for."""

SECRET_BYTES = 32
_COLUMNS = ("id", "label", "role", "show_id", "seat", "federation", "created_at", "revoked_at")
_IN_FORCE = select(*api_key.c[(*_COLUMNS, "secret_hash")]).where(
    api_key.c.id == bindparam("id"), api_key.c.revoked_at.is_(None)
)


class ApiKey(msgspec.Struct, frozen=True, kw_only=True):
    """What a key lets its holder do: a role, for a scribe at one seat of one show.

    Other roles may be bound to one show too; without one a key is good for all of them. One of the
    role federation may be bound to one federation, whose seasons alone it then keeps.
    """

    id: str
    label: str
    role: KeyRole
    show_id: str | None
    seat: str | None
    federation: str | None
    created_at: datetime
    revoked_at: datetime | None


class NewKey(msgspec.Struct, frozen=True, kw_only=True):
    """A key that was just made, with the only copy of the text to present."""

    key: ApiKey
    presented: str


def make_key(
    database: Database,
    role: KeyRole,
    *,
    label: str,
    now: datetime,
    show_id: str | None = None,
    seat: str | None = None,
    federation: str | None = None,
) -> NewKey:
    """Make a key; ``ValueError`` unless a scribe's, and nobody else's, is bound to a seat.

    Nor is another than a federation's bound to a federation.
    """
    if role not in ROLES:
        raise ValueError(f"role: {role!r} is none of {', '.join(ROLES)}")
    if role == "scribe" and not (show_id and seat):
        raise ValueError("a scribe's key is bound to a show and to a seat of it")
    if role != "scribe" and seat:
        raise ValueError(f"seat: only a scribe's key is bound to a seat, not one of {role}")
    if role != "federation" and federation:
        raise ValueError(f"federation: a key of {role} is not bound to one")
    key = ApiKey(
        id=secrets.token_hex(8),
        label=label,
        role=role,
        show_id=show_id,
        seat=seat,
        federation=federation,
        created_at=now,
        revoked_at=None,
    )
    secret = secrets.token_urlsafe(SECRET_BYTES)
    with database.writing() as connection:
        row = msgspec.structs.asdict(key) | {"secret_hash": _hash(secret)}
        connection.execute(insert(api_key), row)
    return NewKey(key=key, presented=f"{PREFIX}_{key.id}_{secret}")


def find_key(database: Database, presented: str) -> ApiKey | None:
    """The key that was presented, unless it is unknown or revoked."""
    prefix, _, rest = presented.partition("_")
    identifier, _, secret = rest.partition("_")
    if prefix != PREFIX or not identifier.isalnum() or not rest.isascii():
        return None
    with database.reading() as connection:  # every request begins with this
        found = database.rows(connection, _IN_FORCE, {"id": identifier})
    if not found:
        return None
    *columns, secret_hash = found[0]
    if not hmac.compare_digest(secret_hash, _hash(secret)):
        return None
    key = dict(zip(_COLUMNS, columns, strict=True))
    return ApiKey(**key | {"created_at": database.moment(key["created_at"])})


def list_keys(database: Database) -> tuple[ApiKey, ...]:
    """Every key that was ever made, oldest first."""
    with database.reading() as connection:
        rows = connection.execute(
            select(*api_key.c[_COLUMNS]).order_by(api_key.c.created_at, api_key.c.id)
        )
        return tuple(ApiKey(**row._asdict()) for row in rows)


def revoke_key(database: Database, identifier: str, *, now: datetime) -> bool:
    """Make a key worthless from now on; whether there was one in force."""
    with database.writing() as connection:
        changed = connection.execute(
            update(api_key)
            .where(api_key.c.id == identifier, api_key.c.revoked_at.is_(None))
            .values(revoked_at=now)
        )
        return changed.rowcount == 1


def _hash(secret: str) -> bytes:
    # A plain hash will do: the secret is 256 random bits, which nobody can guess at any speed.
    return hashlib.sha256(secret.encode()).digest()
