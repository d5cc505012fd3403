"""Keys at the desk: made, listed and revoked."""

from events.envelope import stream_of
from events.refusals import Refusal
from service.desk.caller import Caller, caller_of
from service.desk.carry_out import planned
from service.desk.desk import Desk
from service.store import keys
from service.store.keys import ApiKey, KeyRole, NewKey


def recognise(desk: Desk, presented: str, device: str | None = None) -> Caller | None:
    """Whoever presents a key that is in force."""
    key = keys.find_key(desk.database, presented)
    return None if key is None else caller_of(key, device)


def make(
    desk: Desk,
    maker: Caller | None,
    role: KeyRole,
    *,
    label: str,
    show: str | None = None,
    seat: str | None = None,
    federation: str | None = None,
) -> NewKey:
    """Make a key, shown this once; whoever holds a key for one show makes keys for it alone.

    ``maker`` is ``None`` for whoever runs the server.
    """
    if maker is not None and maker.show not in {None, show}:
        raise Refusal(
            "other_show",
            "Your key is bound to one show, so the keys you make are bound to it too.",
            field="show",
            rule="a key for one show makes keys for that show alone",
            key_show=maker.show,
        )
    _check_bound(role, show, seat)
    _check_federation(role, federation)
    if show is not None:
        planned(desk.shows.latest(stream_of("show", show)).state, show)
    return keys.make_key(
        desk.database,
        role,
        label=label,
        now=desk.clock(),
        show_id=show,
        seat=seat,
        federation=federation,
    )


def every(desk: Desk) -> tuple[ApiKey, ...]:
    """Every key that was ever made, oldest first."""
    return keys.list_keys(desk.database)


def listed(desk: Desk, caller: Caller) -> tuple[ApiKey, ...]:
    """The keys that a caller may know of, oldest first."""
    return tuple(key for key in every(desk) if caller.show in {None, key.show_id})


def revoke(desk: Desk, caller: Caller | None, key_id: str) -> ApiKey:
    """Make a key worthless from now on; revoking it again changes nothing.

    ``caller`` is ``None`` for whoever runs the server.
    """
    _key(desk, caller, key_id)
    keys.revoke_key(desk.database, key_id, now=desk.clock())
    return _key(desk, caller, key_id)


def _key(desk: Desk, caller: Caller | None, key_id: str) -> ApiKey:
    for key in every(desk) if caller is None else listed(desk, caller):
        if key.id == key_id:
            return key
    raise Refusal("unknown_key", f"No key has the id {key_id}.", key=key_id)


def _check_bound(role: KeyRole, show: str | None, seat: str | None) -> None:
    if role == "scribe" and (show is None or seat is None):
        raise Refusal(
            "key_not_bound",
            "A scribe's key is bound to a seat of a show.",
            field="show" if show is None else "seat",
            rule="a scribe's key names one seat of one show",
        )
    if role != "scribe" and seat is not None:
        raise Refusal(
            "key_not_bound",
            f"A key with the role {role} is not bound to a seat.",
            field="seat",
            rule="a scribe's key names one seat of one show",
        )


def _check_federation(role: KeyRole, federation: str | None) -> None:
    if federation is not None and role != "federation":
        raise Refusal(
            "key_not_bound",
            f"A key with the role {role} is not bound to a federation.",
            field="federation",
            rule="a federation's key alone is bound to a federation",
        )
