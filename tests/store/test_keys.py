"""A key is shown once, kept as a hash, and worthless once revoked."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import select

from service.store.engine import Database
from service.store.keys import KeyRole, find_key, list_keys, make_key, revoke_key
from service.store.tables import api_key

NOW = datetime(2026, 6, 6, 12, tzinfo=UTC)


def test_a_presented_key_is_recognised(database: Database) -> None:
    made = make_key(database, "scribe", label="ring 1", now=NOW, show_id="s1", seat="A")
    make_key(database, "office", label="tower", now=NOW)
    assert find_key(database, made.presented) == made.key
    assert (made.key.role, made.key.show_id, made.key.seat) == ("scribe", "s1", "A")
    assert made.key.created_at == NOW


def test_no_part_of_the_secret_is_kept(database: Database) -> None:
    made = make_key(database, "office", label="tower", now=NOW)
    secret = made.presented.split("_", 2)[2]
    with database.reading() as connection:
        row = connection.execute(select(api_key)).one()
    assert secret not in repr(row)
    assert secret.encode() not in row.secret_hash
    assert len(secret) >= 43  # 256 bits in base64


def test_every_key_is_another(database: Database) -> None:
    made = [make_key(database, "public", label="board", now=NOW) for _ in range(5)]
    assert len({each.key.id for each in made}) == 5
    assert len({each.presented for each in made}) == 5


SPOILT: dict[str, Callable[[str], str]] = {
    "longer": lambda key: key + "x",
    "shorter": lambda key: key[:-1],
    "other_last_character": lambda key: key[:-1] + ("a" if key[-1] != "a" else "b"),
    "other_prefix": lambda key: key.replace("ringfold", "ringfeld"),
    "no_secret": lambda key: key.rsplit("_", 1)[0],
    "upper_case": str.upper,
    "nothing": lambda _: "",
    "only_lines": lambda _: "ringfold__",
    "nul_in_the_id": lambda key: key.replace("ringfold_", "ringfold_\0"),
    "nul_in_the_secret": lambda key: key + "\0",
    "half_a_surrogate_pair": lambda key: key + "\udc00",
    "letters_beyond_ascii": lambda _: "ringfold_Grüße_Grüße",
}


@pytest.mark.parametrize("how", SPOILT)
def test_anything_else_is_no_key(database: Database, how: str) -> None:
    made = make_key(database, "office", label="tower", now=NOW)
    assert find_key(database, SPOILT[how](made.presented)) is None


def test_a_secret_opens_only_its_own_key(database: Database) -> None:
    one = make_key(database, "office", label="one", now=NOW)
    other = make_key(database, "public", label="other", now=NOW)
    secret = one.presented.split("_", 2)[2]
    assert find_key(database, f"ringfold_{other.key.id}_{secret}") is None


def test_a_revoked_key_is_worthless(database: Database) -> None:
    made = make_key(database, "office", label="tower", now=NOW)
    later = NOW + timedelta(hours=1)
    assert revoke_key(database, made.key.id, now=later)
    assert find_key(database, made.presented) is None
    assert not revoke_key(database, made.key.id, now=later)
    assert not revoke_key(database, "unknown", now=later)
    assert [each.revoked_at for each in list_keys(database)] == [later]


def test_keys_are_listed_oldest_first(database: Database) -> None:
    second = make_key(database, "steward", label="b", now=NOW + timedelta(hours=1))
    first = make_key(database, "federation", label="a", now=NOW)
    assert list_keys(database) == (first.key, second.key)


@pytest.mark.parametrize(
    ("role", "show_id", "seat", "complaint"),
    [
        ("scribe", None, None, "a scribe's key is bound"),
        ("scribe", "s1", None, "a scribe's key is bound"),
        ("scribe", None, "A", "a scribe's key is bound"),
        ("office", "s1", "A", "seat: only a scribe's key"),
        ("owner", None, None, "role: 'owner' is none of office, scribe, steward"),
    ],
)
def test_only_a_scribes_key_is_bound_to_a_seat(
    database: Database, role: KeyRole, show_id: str | None, seat: str | None, complaint: str
) -> None:
    with pytest.raises(ValueError, match=complaint):
        make_key(database, role, label="x", now=NOW, show_id=show_id, seat=seat)
    assert list_keys(database) == ()
