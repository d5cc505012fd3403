"""Verifier keys: one text for a key, and nothing near it is read."""

from base64 import b64encode

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.proof.keys import VerifierKey, parse_verifier_key, verifier_key
from events.proof.refused import NoteRefused
from tests.core.proof.notes import names

KEY = verifier_key("ringfold.example/spring-show", bytes(range(32)))


def _code(text: str) -> str:
    with pytest.raises(NoteRefused) as refused:
        parse_verifier_key(text)
    return refused.value.code


@given(names, st.binary(min_size=32, max_size=32))
def test_a_key_is_read_back_from_its_text(name: str, public_key: bytes) -> None:
    key = verifier_key(name, public_key)
    assert parse_verifier_key(key.text()) == key
    assert len(key.id) == 4


def test_keys_of_one_name_differ_by_their_ids() -> None:
    successor = verifier_key(KEY.name, bytes(range(1, 33)))
    assert successor.id != KEY.id


def test_a_key_of_another_name_has_another_id() -> None:
    assert verifier_key("ringfold.example/autumn-show", KEY.public_key).id != KEY.id


def test_no_part_of_the_text_is_read_as_a_key() -> None:
    text = KEY.text()
    for start in range(len(text)):
        for end in range(start, len(text)):
            assert _code(text[start : end + 1] if start else text[:end])


def test_no_character_of_the_text_can_change() -> None:
    text = KEY.text()
    for at, character in enumerate(text):
        for other in {chr(ord(character) ^ 1 << bit) for bit in range(8)}:
            assert _code(text[:at] + other + text[at + 1 :])


def _keyed(material: bytes, name: str = "a") -> str:
    return f"{name}+00000000+{b64encode(material).decode()}"


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("", "key_form"),
        ("name+00000000", "key_form"),
        ("name+00000000+AQ", "not_base64"),
        ("name+00000000+ARé=", "not_base64"),
        (_keyed(b""), "key_type"),
        (_keyed(b"\x04" + bytes(32)), "key_type"),
        (_keyed(b"\x01" + bytes(31)), "key_length"),
        (_keyed(b"\x01" + bytes(33)), "key_length"),
        (_keyed(b"\x01" + bytes(32), name=""), "key_name"),
        (_keyed(b"\x01" + bytes(32)), "key_id"),
        (KEY.text().replace(KEY.id.hex(), KEY.id.hex().upper()), "key_id"),
        (KEY.text() + "\n", "not_base64"),
        (" " + KEY.text(), "key_name"),
    ],
)
def test_what_is_wrong_with_a_key_is_named(text: str, code: str) -> None:
    assert _code(text) == code


@pytest.mark.parametrize(
    "name", ["", "a b", "a+b", "a\nb", "a\x00b", "a\u00a0b", "a\u2003b", "a\u2028b", "a\udc80b"]
)
def test_a_name_with_spaces_or_a_plus_is_refused(name: str) -> None:
    with pytest.raises(NoteRefused) as refused:
        verifier_key(name, bytes(32))
    assert refused.value.code == "key_name"
    assert refused.value.facts == {"name": name}


def test_a_key_can_be_looked_up() -> None:
    assert {KEY: 1}[VerifierKey(name=KEY.name, public_key=KEY.public_key)] == 1
