"""Signed notes: one form, strictly read, opened by known keys alone."""

from hashlib import sha256

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.proof.keys import VerifierKey
from events.proof.note import (
    MOST_SIGNATURES,
    Note,
    OpenedNote,
    Signature,
    note_bytes,
    open_note,
    parse_note,
)
from events.proof.refused import NoteRefused
from tests.core.proof.notes import ALICE, BOB, SUCCESSOR, holds, names, signed, texts

TEXT = "Pattern 7, second go\n\nas read out\n"
NOTE = note_bytes(TEXT, [signed(ALICE, TEXT), signed(BOB, TEXT)])
signatures = st.builds(
    Signature,
    name=names,
    key_id=st.binary(min_size=4, max_size=4),
    value=st.binary(min_size=1, max_size=70),
)


def _parse_code(data: bytes) -> str:
    with pytest.raises(NoteRefused) as refused:
        parse_note(data)
    return refused.value.code


def _open_refusal(data: bytes, *keys: VerifierKey) -> NoteRefused:
    with pytest.raises(NoteRefused) as refused:
        open_note(data, keys, holds)
    return refused.value


@given(texts, st.lists(signatures, min_size=1, max_size=MOST_SIGNATURES))
def test_a_note_is_read_back_as_it_was_written(text: str, lines: list[Signature]) -> None:
    written = note_bytes(text, lines)
    assert parse_note(written) == Note(text=text, signatures=tuple(lines))


@given(st.binary(max_size=200))
def test_any_bytes_are_read_as_the_one_note_they_write_or_refused(data: bytes) -> None:
    try:
        note = parse_note(data)
    except NoteRefused:
        return
    assert note_bytes(note.text, note.signatures) == data


@given(texts, st.lists(signatures, min_size=1, max_size=3), st.data())
def test_a_note_with_one_bit_changed_is_another_note_or_none(
    text: str, lines: list[Signature], data: st.DataObject
) -> None:
    written = bytearray(note_bytes(text, lines))
    bit = data.draw(st.integers(0, len(written) * 8 - 1))
    written[bit // 8] ^= 1 << bit % 8
    try:
        note = parse_note(bytes(written))
    except NoteRefused:
        return
    assert note != Note(text=text, signatures=tuple(lines))
    assert note_bytes(note.text, note.signatures) == written


def test_every_signature_of_a_known_key_is_told_and_the_others_are_ignored() -> None:
    both = open_note(NOTE, [ALICE, BOB, SUCCESSOR], holds)
    assert both == OpenedNote(text=TEXT, signed_by=(ALICE, BOB), ignored=())
    one = open_note(NOTE, [BOB], holds)
    assert one == OpenedNote(text=TEXT, signed_by=(BOB,), ignored=(signed(ALICE, TEXT),))


def test_no_bit_of_a_note_can_change_for_those_who_know_its_keys() -> None:
    for bit in range(len(NOTE) * 8):
        altered = bytearray(NOTE)
        altered[bit // 8] ^= 1 << bit % 8
        try:
            opened = open_note(bytes(altered), [ALICE, BOB], holds)
        except NoteRefused:
            continue
        # What is left is a line whose key is no longer known: the standard says to ignore it.
        assert opened.text == TEXT
        assert len(opened.signed_by) == len(opened.ignored) == 1


def test_a_note_without_a_known_key_is_refused() -> None:
    assert _open_refusal(NOTE).code == "not_signed_by_known_key"
    assert _open_refusal(NOTE, SUCCESSOR).code == "not_signed_by_known_key"


def test_a_line_that_shares_only_the_name_or_only_the_id_is_ignored() -> None:
    good = signed(BOB, TEXT)
    same_name = Signature(name=BOB.name, key_id=ALICE.id, value=good.value)
    same_id = Signature(name=ALICE.name, key_id=BOB.id, value=good.value)
    opened = open_note(note_bytes(TEXT, [same_name, same_id, good]), [BOB], holds)
    assert opened == OpenedNote(text=TEXT, signed_by=(BOB,), ignored=(same_name, same_id))


def test_a_wrong_signature_of_a_known_key_refuses_the_note_and_names_the_key() -> None:
    forged = Signature(name=BOB.name, key_id=BOB.id, value=signed(BOB, "other\n").value)
    refusal = _open_refusal(note_bytes(TEXT, [signed(ALICE, TEXT), forged]), ALICE, BOB)
    assert refusal.code == "signature_wrong"
    assert refusal.facts == {"name": BOB.name, "key_id": BOB.id.hex()}


def test_each_signature_of_a_key_is_checked_and_the_key_is_told_once() -> None:
    good = signed(BOB, TEXT)
    bad = Signature(name=BOB.name, key_id=BOB.id, value=b"x")
    assert open_note(note_bytes(TEXT, [good, good]), [BOB], holds).signed_by == (BOB,)
    assert _open_refusal(note_bytes(TEXT, [good, bad]), BOB).code == "signature_wrong"


def test_two_different_known_keys_with_one_name_and_id_are_refused() -> None:
    first, second = _colliding_keys()
    refusal = _open_refusal(note_bytes(TEXT, [signed(first, TEXT)]), first, second)
    assert refusal.code == "keys_collide"
    assert refusal.facts == {"name": "k", "key_id": first.id.hex()}


def test_a_key_may_be_listed_twice() -> None:
    assert open_note(NOTE, [BOB, BOB], holds).signed_by == (BOB,)


def _colliding_keys() -> tuple[VerifierKey, VerifierKey]:
    """Two keys with one id, found by trying: an id has 32 bits only."""
    seen: dict[bytes, VerifierKey] = {}
    for number in range(1 << 20):
        key = VerifierKey(name="k", public_key=sha256(b"%d" % number).digest())
        if seen.setdefault(key.id, key) != key:
            return seen[key.id], key
    raise AssertionError("no two of a million keys share an id")


LINE = b"\xe2\x80\x94 a AAAAAAA=\n"  # five bytes: an id, and a signature of one byte


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"", "text_form"),
        (b"text\n", "no_signature"),
        (b"text\n\n", "no_signature"),
        (b"text\n" + LINE, "no_signature"),
        (b"\n" + LINE, "no_signature"),
        (b"text\n\n" + LINE[:-1], "text_form"),
        (b"text\n\n" + LINE + b"and more\n", "signature_form"),
        (b"text\n\nmore\n" + LINE, "signature_form"),
        (b"te\x01xt\n\n" + LINE, "text_form"),
        (b"te\rxt\n\n" + LINE, "text_form"),
        (b"te\txt\n\n" + LINE, "text_form"),
        (b"te\x00xt\n\n" + LINE, "text_form"),
        (b"te\xffxt\n\n" + LINE, "not_utf8"),
        (b"te\xed\xa0\x80xt\n\n" + LINE, "not_utf8"),
        (b"text\n\n" + LINE * (MOST_SIGNATURES + 1), "too_many_signatures"),
        (b"text\n\n- a AAAAAAA=\n", "signature_form"),
        (b"text\n\n\xe2\x80\x94a AAAAAAA=\n", "signature_form"),
        (b"text\n\n\xe2\x80\x94 a\n", "signature_form"),
        (b"text\n\n\xe2\x80\x94  AAAAAAA=\n", "signature_form"),
        (b"text\n\n\xe2\x80\x94 a+b AAAAAAA=\n", "signature_form"),
        (b"text\n\n\xe2\x80\x94 a\xc2\xa0b AAAAAAA=\n", "signature_form"),
        (b"text\n\n\xe2\x80\x94 a b AAAAAAA=\n", "not_base64"),
        (b"text\n\n\xe2\x80\x94 a AAAAAAA= \n", "not_base64"),
        (b"text\n\n\xe2\x80\x94 a AAAAAAA\n", "not_base64"),
        (b"text\n\n\xe2\x80\x94 a AAAAAAB=\n", "not_base64"),
        (b"text\n\n\xe2\x80\x94 a AAAA-AA=\n", "not_base64"),
        (b"text\n\n\xe2\x80\x94 a \xc3\xa9\n", "not_base64"),
        (b"text\n\n\xe2\x80\x94 a \n", "signature_form"),
        (b"text\n\n\xe2\x80\x94 a AAAAAA==\n", "signature_form"),
    ],
)
def test_what_is_wrong_with_a_note_is_named(data: bytes, code: str) -> None:
    assert _parse_code(data) == code


def test_a_note_may_have_a_hundred_signatures() -> None:
    assert len(parse_note(b"text\n\n" + LINE * MOST_SIGNATURES).signatures) == MOST_SIGNATURES


@pytest.mark.parametrize("text", ["", "text", "te\x01xt\n", "te\rxt\n", "te\ud800xt\n"])
def test_a_text_that_no_note_can_have_is_not_written(text: str) -> None:
    with pytest.raises(NoteRefused) as refused:
        note_bytes(text, [Signature(name="a", key_id=bytes(4), value=b"x")])
    assert refused.value.code == "text_form"


def test_a_note_without_signatures_is_not_written() -> None:
    with pytest.raises(NoteRefused) as refused:
        note_bytes(TEXT, [])
    assert refused.value.code == "no_signature"
