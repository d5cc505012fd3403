"""Checkpoints: one text for each, and never one that contradicts the last."""

from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.proof.checkpoint import Checkpoint, next_checkpoint, parse_checkpoint
from events.proof.hashing import EMPTY_ROOT
from events.proof.paths import consistency_proof
from events.proof.refused import CheckpointRefused, ConsistencyRefused, NoteRefused
from events.proof.text import to_base64
from events.proof.tree import root_of
from tests.core.proof.notes import lines
from tests.core.proof.trees import entries, leaves_of, stored

ORIGIN = "ringfold.example/spring-show"
ROOT = bytes(range(32))
ROOT64 = to_base64(ROOT)
LOG = [b"entry %d" % i for i in range(20)]


def checkpoint_of(log: Sequence[bytes], origin: str = ORIGIN) -> Checkpoint:
    return Checkpoint(origin=origin, size=len(log), root=root_of(leaves_of(log)))


def proof_of(log: Sequence[bytes], first: int) -> tuple[bytes, ...]:
    return consistency_proof(stored(leaves_of(log)).__getitem__, first, len(log))


@given(lines.filter(bool), st.integers(1, 2**63 - 1), st.binary(min_size=32, max_size=32))
def test_a_checkpoint_is_read_back_from_its_text(origin: str, size: int, root: bytes) -> None:
    checkpoint = Checkpoint(origin=origin, size=size, root=root)
    assert parse_checkpoint(checkpoint.text()) == checkpoint


@given(st.text())
def test_any_text_is_read_as_the_one_checkpoint_it_writes_or_refused(text: str) -> None:
    try:
        checkpoint = parse_checkpoint(text)
    except NoteRefused:
        return
    assert checkpoint.text() == text


def test_the_empty_log_has_a_checkpoint() -> None:
    text = f"{ORIGIN}\n0\n47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU=\n"
    assert parse_checkpoint(text) == checkpoint_of([])
    assert checkpoint_of([]).text() == text


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("", "checkpoint_form"),
        (f"{ORIGIN}\n8\n{ROOT64}", "checkpoint_form"),
        (f"{ORIGIN}\n8\n", "checkpoint_form"),
        (f"{ORIGIN}\n8\n{ROOT64}\nmore\n", "checkpoint_form"),
        (f"{ORIGIN}\n8\n{ROOT64}\n\n", "checkpoint_form"),
        (f"{ORIGIN}\n8\n{ROOT64}\nmore", "checkpoint_form"),
        (f"\n8\n{ROOT64}\n", "checkpoint_form"),
        (f"a\rb\n8\n{ROOT64}\n", "checkpoint_form"),
        (f"a\ud800b\n8\n{ROOT64}\n", "checkpoint_form"),
        (f"{ORIGIN}\n\n{ROOT64}\n", "not_a_size"),
        (f"{ORIGIN}\n08\n{ROOT64}\n", "not_a_size"),
        (f"{ORIGIN}\n00\n{ROOT64}\n", "not_a_size"),
        (f"{ORIGIN}\n+8\n{ROOT64}\n", "not_a_size"),
        (f"{ORIGIN}\n-8\n{ROOT64}\n", "not_a_size"),
        (f"{ORIGIN}\n 8\n{ROOT64}\n", "not_a_size"),
        (f"{ORIGIN}\n8.0\n{ROOT64}\n", "not_a_size"),
        (f"{ORIGIN}\n1_000\n{ROOT64}\n", "not_a_size"),
        (f"{ORIGIN}\n0x8\n{ROOT64}\n", "not_a_size"),
        (f"{ORIGIN}\n\u0668\n{ROOT64}\n", "not_a_size"),
        (f"{ORIGIN}\n{2**63}\n{ROOT64}\n", "not_a_size"),
        (f"{ORIGIN}\n{'9' * 5000}\n{ROOT64}\n", "not_a_size"),
        (f"{ORIGIN}\n8\n{ROOT64[:-1]}\n", "not_base64"),
        (f"{ORIGIN}\n8\n{ROOT64[:-2]}9=\n", "not_base64"),
        (f"{ORIGIN}\n8\n{ROOT64} \n", "not_base64"),
        (f"{ORIGIN}\n8\n{ROOT64[:-4]}\n", "root_form"),
        (f"{ORIGIN}\n8\n\n", "root_form"),
        (f"{ORIGIN}\n8\n{to_base64(ROOT + b'x')}\n", "root_form"),
        (f"{ORIGIN}\n0\n{ROOT64}\n", "root_form"),
    ],
)
def test_what_is_wrong_with_a_checkpoint_is_named(text: str, code: str) -> None:
    with pytest.raises(NoteRefused) as refused:
        parse_checkpoint(text)
    assert refused.value.code == code


def _next(previous: Checkpoint | None, log: Sequence[bytes], proof: Sequence[bytes]) -> Checkpoint:
    after = checkpoint_of(log)
    return next_checkpoint(previous, origin=ORIGIN, size=after.size, root=after.root, proof=proof)


def _refusal(
    previous: Checkpoint | None, log: Sequence[bytes], proof: Sequence[bytes]
) -> CheckpointRefused:
    with pytest.raises(CheckpointRefused) as refused:
        _next(previous, log, proof)
    return refused.value


@given(entries, st.data())
def test_a_log_that_only_grows_always_has_a_next_checkpoint(
    log: tuple[bytes, ...], data: st.DataObject
) -> None:
    sizes = sorted(data.draw(st.lists(st.integers(0, len(log)), max_size=5)))
    previous = None
    for size in sizes:
        proof = proof_of(log[:size], previous.size) if previous else ()
        previous = _next(previous, log[:size], proof)
        assert previous == checkpoint_of(log[:size])


@given(entries.filter(bool), st.data())
def test_no_log_that_was_rewritten_has_one_whatever_proof_it_brings(
    log: tuple[bytes, ...], data: st.DataObject
) -> None:
    size = data.draw(st.integers(1, len(log)))
    rewritten = data.draw(st.integers(0, size - 1))
    forged = (*log[:rewritten], b"another mark", *log[rewritten + 1 :])
    proofs = [proof_of(forged, size), proof_of(log, size), (), data.draw(_hashes(log))]
    for proof in proofs:
        assert _refusal(checkpoint_of(log[:size]), forged, proof).code in {
            "root_changed", "log_rewritten",
        }  # fmt: skip


def _hashes(log: Sequence[bytes]) -> st.SearchStrategy[list[bytes]]:
    return st.lists(st.sampled_from(leaves_of(log)), max_size=8)


def test_a_log_taken_back_by_a_restore_has_none_until_it_is_whole_again() -> None:
    signed = checkpoint_of(LOG)
    restored = LOG[:15]
    assert _refusal(signed, restored, ()).code == "tree_shrank"
    went_on_otherwise = [*restored, *(b"later %d" % i for i in range(9))]
    refusal = _refusal(signed, went_on_otherwise, proof_of(went_on_otherwise, 20))
    assert refusal.code == "log_rewritten"
    whole_again = [*restored, *LOG[15:], b"later"]
    assert _next(signed, whole_again, proof_of(whole_again, 20)) == checkpoint_of(whole_again)


def test_the_refusal_tells_both_trees_and_what_is_wrong_with_the_proof() -> None:
    forged = [b"another mark", *LOG]
    signed = checkpoint_of(LOG[:5])
    refusal = _refusal(signed, forged, proof_of(forged, 5))
    assert refusal.facts == {
        "origin": ORIGIN,
        "signed_size": 5,
        "signed_root": to_base64(signed.root),
        "size": 21,
        "root": to_base64(root_of(leaves_of(forged))),
    }
    assert isinstance(refusal.__cause__, ConsistencyRefused)
    assert refusal.__cause__.code == "first_root_differs"
    assert "checkpoint 5 was rewritten" in refusal.message


def test_signing_the_same_tree_again_is_no_contradiction() -> None:
    assert _next(checkpoint_of(LOG), LOG, ()) == checkpoint_of(LOG)


def test_the_same_size_with_another_root_is_refused() -> None:
    assert _refusal(checkpoint_of(LOG), [*LOG[:-1], b"x"], ()).code == "root_changed"


def test_a_longer_log_without_its_proof_is_refused() -> None:
    assert _refusal(checkpoint_of(LOG[:8]), LOG, ()).code == "log_rewritten"


def test_a_first_checkpoint_has_nothing_to_prove() -> None:
    assert _next(None, LOG, ()) == checkpoint_of(LOG)
    assert _refusal(None, LOG, proof_of(LOG, 8)).code == "nothing_to_prove"


def test_the_checkpoint_of_another_log_is_not_followed() -> None:
    assert _refusal(checkpoint_of(LOG, origin="elsewhere"), LOG, ()).code == "another_origin"


@pytest.mark.parametrize(
    ("origin", "size", "root", "code"),
    [
        ("", 1, ROOT, "checkpoint_form"),
        ("two\nlines", 1, ROOT, "checkpoint_form"),
        (ORIGIN, -1, ROOT, "not_a_size"),
        (ORIGIN, 2**63, ROOT, "not_a_size"),
        (ORIGIN, 1, ROOT[:31], "root_form"),
        (ORIGIN, 0, ROOT, "root_form"),
    ],
)
def test_values_that_no_checkpoint_can_have_are_refused(
    origin: str, size: int, root: bytes, code: str
) -> None:
    with pytest.raises(NoteRefused) as refused:
        next_checkpoint(None, origin=origin, size=size, root=root, proof=())
    assert refused.value.code == code


def test_the_empty_log_is_followed_by_any() -> None:
    assert checkpoint_of([]).root == EMPTY_ROOT
    assert _next(checkpoint_of([]), LOG, ()) == checkpoint_of(LOG)
    assert _refusal(checkpoint_of([]), LOG, (ROOT,)).code == "log_rewritten"
