"""What a consistency proof proves, and that nothing near it passes."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.proof.paths import consistency_proof
from events.proof.refused import ConsistencyRefused
from events.proof.tree import root_of
from events.proof.verify import verify_consistency
from tests.core.proof import rfc9162
from tests.core.proof.trees import leaves_of, some_entries, stored

LOG = [b"entry %d" % i for i in range(26)]
ROOTS = [rfc9162.mth(LOG[:size]) for size in range(27)]


def _code(path: list[bytes], first: int, second: int, roots: tuple[bytes, bytes]) -> str:
    with pytest.raises(ConsistencyRefused) as refused:
        verify_consistency(
            path, first=first, second=second, first_root=roots[0], second_root=roots[1]
        )
    assert refused.value.facts == {"first": first, "second": second}
    return refused.value.code


def test_every_tree_up_to_40_leaves_is_shown_to_begin_with_every_smaller_one() -> None:
    log = [b"entry %d" % i for i in range(40)]
    roots = [rfc9162.mth(log[:size]) for size in range(41)]
    for second in range(2, 41):
        for first in range(1, second):
            verify_consistency(
                rfc9162.proof(first, log[:second]),
                first=first,
                second=second,
                first_root=roots[first],
                second_root=roots[second],
            )


@pytest.mark.parametrize(("first", "second"), [(0, 0), (0, 1), (0, 26), (1, 1), (13, 13)])
def test_equal_trees_and_the_empty_tree_are_consistent_without_a_proof(
    first: int, second: int
) -> None:
    verify_consistency(
        (), first=first, second=second, first_root=ROOTS[first], second_root=ROOTS[second]
    )


@pytest.mark.parametrize(("first", "second"), [(8, 26), (13, 26), (6, 7), (25, 26)])
def test_no_bit_of_a_path_or_of_a_root_can_change(first: int, second: int) -> None:
    path = list(rfc9162.proof(first, LOG[:second]))
    roots = (ROOTS[first], ROOTS[second])
    for bit in range(256):
        flip = (1 << bit).to_bytes(32)
        for step in range(len(path)):
            altered = [*path[:step], _xor(path[step], flip), *path[step + 1 :]]
            assert _code(altered, first, second, roots).endswith("root_differs")
        assert _code(path, first, second, (_xor(roots[0], flip), roots[1])).endswith("differs")
        assert _code(path, first, second, (roots[0], _xor(roots[1], flip))) == "second_root_differs"


@given(some_entries, st.data())
def test_a_log_with_one_entry_rewritten_has_no_proof(
    log: tuple[bytes, ...], data: st.DataObject
) -> None:
    first = data.draw(st.integers(1, len(log)))
    rewritten = data.draw(st.integers(0, first - 1))
    forged = [*log[:rewritten], b"something else", *log[rewritten + 1 :], b"and one more"]
    proof = consistency_proof(stored(leaves_of(forged)).__getitem__, first, len(forged))
    roots = (root_of(leaves_of(log[:first])), root_of(leaves_of(forged)))
    assert _code(list(proof), first, len(forged), roots).endswith("root_differs")


@given(some_entries.filter(lambda log: len(log) > 1), st.data())
def test_no_altered_path_passes(log: tuple[bytes, ...], data: st.DataObject) -> None:
    first = data.draw(st.integers(1, len(log) - 1))
    good = rfc9162.proof(first, log)
    roots = (rfc9162.mth(log[:first]), rfc9162.mth(log))
    some_hash = data.draw(st.sampled_from([*good, *roots, bytes(32)]))
    at = data.draw(st.integers(0, len(good) - 1))
    match data.draw(st.sampled_from(["insert", "drop", "replace", "reverse"])):
        case "insert":
            bad = [*good[:at], some_hash, *good[at:]]
        case "drop":
            bad = [*good[:at], *good[at + 1 :]]
        case "replace":
            bad = [*good[:at], some_hash, *good[at + 1 :]]
        case _:
            bad = list(reversed(good))
    if tuple(bad) != good:
        assert _code(bad, first, len(log), roots)


def test_no_proof_serves_another_pair_of_sizes() -> None:
    sizes = [(first, second) for second in range(2, 14) for first in range(1, second)]
    proofs = {size: list(rfc9162.proof(size[0], LOG[: size[1]])) for size in sizes}
    for first, second in sizes:
        for other, proof in proofs.items():
            if proof != proofs[first, second]:
                assert _code(proof, first, second, (ROOTS[first], ROOTS[second])), other


@pytest.mark.parametrize(
    ("path", "first", "second", "roots", "code"),
    [
        ([], 9, 8, (ROOTS[9], ROOTS[8]), "sizes_reversed"),
        ([], -1, 8, (ROOTS[0], ROOTS[8]), "sizes_reversed"),
        ([], 8, 8, (ROOTS[8], ROOTS[9]), "second_root_differs"),
        ([], 0, 0, (ROOTS[0], ROOTS[1]), "second_root_differs"),
        ([], 0, 0, (ROOTS[1], ROOTS[1]), "first_root_differs"),
        ([], 0, 8, (ROOTS[1], ROOTS[8]), "first_root_differs"),
        ([ROOTS[0]], 0, 8, (ROOTS[0], ROOTS[8]), "path_too_long"),
        ([ROOTS[8]], 8, 8, (ROOTS[8], ROOTS[8]), "path_too_long"),
        ([], 8, 9, (ROOTS[8], ROOTS[9]), "path_too_short"),
        ([], 7, 9, (ROOTS[7], ROOTS[9]), "path_too_short"),
        ([ROOTS[1]] * 9, 7, 9, (ROOTS[7], ROOTS[9]), "path_too_long"),
        ([], 8, 8, (ROOTS[8][:-1], ROOTS[8][:-1]), "hash_length"),
        ([b""], 8, 9, (ROOTS[8], ROOTS[9]), "hash_length"),
    ],
)
def test_what_fails_is_named(
    path: list[bytes], first: int, second: int, roots: tuple[bytes, bytes], code: str
) -> None:
    assert _code(path, first, second, roots) == code


def _xor(left: bytes, right: bytes) -> bytes:
    return bytes(a ^ b for a, b in zip(left, right, strict=True))
