"""Signing keys: made, kept, handed over; what they sign holds, and nothing else does."""

from collections.abc import Sequence

import pytest
from cryptography.hazmat.primitives.asymmetric.ec import SECP256R1, generate_private_key
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat
from hypothesis import given
from hypothesis import strategies as st

from events.proof.checkpoint import Checkpoint, parse_checkpoint
from events.proof.hashing import leaf_hash
from events.proof.keys import VerifierKey
from events.proof.paths import consistency_proof
from events.proof.refused import CheckpointRefused, NoteRefused
from events.proof.tree import Frontier, NodeAt, grow
from service.signing import (
    SigningKey,
    holds,
    sign_checkpoint,
    sign_document,
    sign_note,
    verify_checkpoint,
    verify_document,
    verify_note,
)

ORIGIN = "ringfold.example/spring-show"
KEY = SigningKey.from_raw(ORIGIN, bytes(range(32)))
SUCCESSOR = SigningKey.from_raw(ORIGIN, bytes(range(1, 33)))
STRANGER = SigningKey.from_raw("elsewhere.example", bytes(range(2, 34)))
TEXT = "the card as signed\n"
DOCUMENT = b'{"class":"c-12","places":[1,2,2,4]}'
LOG = [b"event %d" % n for n in range(20)]


def test_each_generated_key_is_a_new_one_under_its_name() -> None:
    first, second = SigningKey.generate(ORIGIN), SigningKey.generate(ORIGIN)
    assert first.verifier.name == second.verifier.name == ORIGIN
    assert first.verifier.id != second.verifier.id


def test_a_key_is_not_shown_when_it_is_printed() -> None:
    shown = f"{KEY} {KEY!r}"
    assert KEY.raw().hex() not in shown
    assert "private" not in shown


@pytest.mark.parametrize("passphrase", [None, b"barrel racing"])
def test_a_kept_key_signs_as_before(passphrase: bytes | None) -> None:
    key = SigningKey.generate(ORIGIN)
    pem = key.pem(passphrase)
    for again in (
        SigningKey.from_pem(ORIGIN, pem, passphrase),
        SigningKey.from_raw(ORIGIN, key.raw()),
    ):
        assert again.verifier == key.verifier
        assert sign_note(TEXT, [again]) == sign_note(TEXT, [key])
    assert (key.raw() in pem) is False
    assert pem.startswith(b"-----BEGIN ENCRYPTED" if passphrase else b"-----BEGIN PRIVATE")


def _other_curve() -> bytes:
    private = generate_private_key(SECP256R1())
    return private.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())


@pytest.mark.parametrize(
    ("pem", "passphrase", "code"),
    [
        (b"", None, "key_unreadable"),
        (b"not a key", None, "key_unreadable"),
        (KEY.pem()[:-40], None, "key_unreadable"),
        (KEY.pem(b"right"), b"wrong", "key_unreadable"),
        (KEY.pem(b"right"), None, "key_unreadable"),
        (KEY.pem(), b"needless", "key_unreadable"),
        (_other_curve(), None, "key_type"),
    ],
)
def test_what_is_wrong_with_a_kept_key_is_named(
    pem: bytes, passphrase: bytes | None, code: str
) -> None:
    with pytest.raises(NoteRefused) as refused:
        SigningKey.from_pem(ORIGIN, pem, passphrase)
    assert refused.value.code == code
    assert refused.value.facts == {"name": ORIGIN}


@pytest.mark.parametrize("raw", [b"", bytes(31), bytes(33)])
def test_a_secret_of_another_length_is_refused(raw: bytes) -> None:
    with pytest.raises(NoteRefused) as refused:
        SigningKey.from_raw(ORIGIN, raw)
    assert refused.value.code == "key_unreadable"


def test_a_key_cannot_be_called_by_a_name_with_spaces() -> None:
    with pytest.raises(NoteRefused) as refused:
        SigningKey.generate("spring show")
    assert refused.value.code == "key_name"


def test_while_one_key_follows_another_either_is_enough_to_verify() -> None:
    note = sign_note(TEXT, [KEY, SUCCESSOR])
    for known in ([KEY.verifier], [SUCCESSOR.verifier], [KEY.verifier, SUCCESSOR.verifier]):
        assert verify_note(note, known).signed_by == tuple(known)


def test_a_retired_key_still_verifies_what_it_signed() -> None:
    old = sign_document("result", DOCUMENT, [KEY])
    known = [SUCCESSOR.verifier, KEY.verifier]
    assert verify_document("result", DOCUMENT, old, known) == (KEY.verifier,)


def test_a_note_of_a_stranger_is_refused() -> None:
    assert _code(sign_note(TEXT, [STRANGER]), [KEY.verifier]) == "not_signed_by_known_key"


def test_a_note_without_keys_is_not_made() -> None:
    with pytest.raises(NoteRefused) as refused:
        sign_note(TEXT, [])
    assert refused.value.code == "no_signature"


@pytest.mark.parametrize("text", ["no newline", "te\x01xt\n", "te\ud800xt\n"])
def test_a_text_that_no_note_can_have_is_not_signed(text: str) -> None:
    with pytest.raises(NoteRefused) as refused:
        sign_note(text, [KEY])
    assert refused.value.code == "text_form"


def _code(note: bytes, known: Sequence[VerifierKey]) -> str:
    with pytest.raises(NoteRefused) as refused:
        verify_note(note, known)
    return refused.value.code


def test_no_bit_of_a_signed_note_can_change() -> None:
    note = sign_note(TEXT, [KEY])
    codes = set()
    for bit in range(len(note) * 8):
        altered = bytearray(note)
        altered[bit // 8] ^= 1 << bit % 8
        codes.add(_code(bytes(altered), [KEY.verifier]))
    assert {"signature_wrong", "not_signed_by_known_key", "not_base64"} <= codes


@given(st.binary(max_size=80), st.binary(max_size=80))
def test_what_is_no_signature_does_not_hold(message: bytes, signature: bytes) -> None:
    assert not holds(KEY.verifier.public_key, message, signature)


def test_a_document_is_verified_by_its_bytes_and_its_kind() -> None:
    note = sign_document("result", DOCUMENT, [KEY])
    known = [KEY.verifier]
    assert verify_document("result", DOCUMENT, note, known) == (KEY.verifier,)
    for kind, document, code in (
        ("result", DOCUMENT + b" ", "document_differs"),
        ("standing", DOCUMENT, "another_kind"),
    ):
        with pytest.raises(NoteRefused) as refused:
            verify_document(kind, document, note, known)
        assert refused.value.code == code


def test_a_signed_checkpoint_is_no_signed_document_and_the_other_way_round() -> None:
    with pytest.raises(NoteRefused) as refused:
        verify_document("result", DOCUMENT, _signed(LOG, None), [KEY.verifier])
    assert refused.value.code == "another_kind"
    with pytest.raises(NoteRefused) as refused:
        verify_checkpoint(sign_document("result", DOCUMENT, [KEY]), [KEY.verifier])
    assert refused.value.code == "checkpoint_form"


def _signed(
    log: Sequence[bytes],
    last_signed: bytes | None,
    keys: Sequence[SigningKey] = (KEY,),
    origin: str = ORIGIN,
) -> bytes:
    """What a signer of the log's database would sign, whatever that database holds now."""
    growth = grow(Frontier(), [leaf_hash(event) for event in log])
    nodes = {NodeAt(node.level, node.nth): node.hash for node in growth.nodes}
    before = 0
    if last_signed is not None:
        before = parse_checkpoint(verify_note(last_signed, [KEY.verifier]).text).size
    return sign_checkpoint(
        keys,
        known=[KEY.verifier, SUCCESSOR.verifier, STRANGER.verifier],
        last_signed=last_signed,
        origin=origin,
        size=len(log),
        root=growth.frontier.root(),
        proof=consistency_proof(nodes.__getitem__, min(before, len(log)), len(log)),
    )


def test_a_growing_log_gets_one_checkpoint_after_another() -> None:
    last = None
    for size in (0, 1, 8, 8, 13, 20):
        last = _signed(LOG[:size], last)
        checkpoint = verify_checkpoint(last, [KEY.verifier])
        assert (checkpoint.origin, checkpoint.size) == (ORIGIN, size)
    assert last == _signed(LOG, None)


def test_a_checkpoint_is_signed_by_every_key_in_force() -> None:
    note = _signed(LOG, None, keys=[KEY, SUCCESSOR])
    opened = verify_note(note, [KEY.verifier, SUCCESSOR.verifier])
    assert opened.signed_by == (KEY.verifier, SUCCESSOR.verifier)


@pytest.mark.parametrize(
    ("log", "code"),
    [
        (LOG[:15], "tree_shrank"),
        ([*LOG[:15], *(b"later %d" % n for n in range(5))], "root_changed"),
        ([*LOG[:15], *(b"later %d" % n for n in range(9))], "log_rewritten"),
        ([b"another mark", *LOG], "log_rewritten"),
        ([], "tree_shrank"),
    ],
)
def test_a_restored_or_rewritten_log_gets_no_checkpoint(log: list[bytes], code: str) -> None:
    last = _signed(LOG, None)
    with pytest.raises(CheckpointRefused) as refused:
        _signed(log, last)
    assert refused.value.code == code


def test_a_last_checkpoint_that_no_key_of_the_log_signed_is_not_believed() -> None:
    shorter = Checkpoint(origin=ORIGIN, size=0, root=grow(Frontier(), ()).frontier.root())
    forged = sign_note(shorter.text(), [STRANGER])
    for known in ([KEY.verifier], [KEY.verifier, STRANGER.verifier]):
        with pytest.raises(NoteRefused) as refused:
            sign_checkpoint(
                [KEY],
                known=known,
                last_signed=forged,
                origin=ORIGIN,
                size=0,
                root=shorter.root,
                proof=(),
            )
        assert refused.value.code == "not_signed_by_known_key"


def test_a_log_is_signed_for_only_by_keys_of_its_name() -> None:
    for keys in ([STRANGER], [KEY, STRANGER]):
        with pytest.raises(NoteRefused) as refused:
            _signed(LOG, None, keys=keys)
        assert refused.value.code == "key_name"
        assert refused.value.facts == {"name": STRANGER.verifier.name}
