"""What an inclusion proof proves, and that nothing near it passes."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.proof.paths import inclusion_proof
from events.proof.refused import InclusionRefused
from events.proof.tree import root_of
from events.proof.verify import verify_inclusion
from tests.core.proof import rfc9162
from tests.core.proof.trees import leaves_of, some_entries, stored

LOG = [b"entry %d" % i for i in range(13)]
LEAVES = leaves_of(LOG)
ROOT = root_of(LEAVES)


def _code(leaf: bytes, path: list[bytes], index: int, size: int, root: bytes) -> str:
    with pytest.raises(InclusionRefused) as refused:
        verify_inclusion(leaf, path, index=index, size=size, root=root)
    assert refused.value.facts == {"index": index, "size": size}
    assert refused.value.message == str(refused.value)
    return refused.value.code


def test_every_leaf_of_every_tree_up_to_40_leaves_is_shown_by_its_path() -> None:
    log = [b"entry %d" % i for i in range(40)]
    for size in range(1, 41):
        root = rfc9162.mth(log[:size])
        for index, leaf in enumerate(leaves_of(log[:size])):
            path = rfc9162.path(index, log[:size])
            verify_inclusion(leaf, path, index=index, size=size, root=root)


def test_no_bit_of_a_path_of_a_leaf_or_of_a_root_can_change() -> None:
    path = list(rfc9162.path(9, LOG))
    for bit in range(256):
        flip = (1 << bit).to_bytes(32)
        for step in range(len(path)):
            altered = [*path[:step], _xor(path[step], flip), *path[step + 1 :]]
            assert _code(LEAVES[9], altered, 9, 13, ROOT) == "root_differs"
        assert _code(_xor(LEAVES[9], flip), path, 9, 13, ROOT) == "root_differs"
        assert _code(LEAVES[9], path, 9, 13, _xor(ROOT, flip)) == "root_differs"


@given(some_entries, st.data())
def test_no_altered_path_passes(log: tuple[bytes, ...], data: st.DataObject) -> None:
    leaves = leaves_of(log)
    index = data.draw(st.integers(0, len(log) - 1))
    good = inclusion_proof(stored(leaves).__getitem__, index, len(log))
    some_hash = data.draw(st.sampled_from([*leaves, *good, root_of(leaves), bytes(32)]))
    bad = list(good)
    match data.draw(st.sampled_from(["insert", "drop", "replace", "swap"])):
        case "insert":
            bad.insert(data.draw(st.integers(0, len(bad))), some_hash)
        case "drop" if bad:
            bad.pop(data.draw(st.integers(0, len(bad) - 1)))
        case "replace" if bad:
            bad[data.draw(st.integers(0, len(bad) - 1))] = some_hash
        case _:
            bad.reverse()
    if tuple(bad) != good:
        assert _code(leaves[index], bad, index, len(log), root_of(leaves)) in {
            "root_differs", "path_too_long", "path_too_short",
        }  # fmt: skip


def test_a_leaf_is_not_shown_at_any_other_index() -> None:
    for index, leaf in enumerate(LEAVES):
        path = list(rfc9162.path(index, LOG))
        for other in set(range(13)) - {index}:
            assert _code(leaf, path, other, 13, ROOT) != "index_beyond_size"


def test_a_leaf_is_not_shown_in_a_tree_of_another_size_under_its_root() -> None:
    log = [b"entry %d" % i for i in range(26)]
    for other in set(range(1, 27)) - {13}:
        root = rfc9162.mth(log[:other])
        for index, leaf in enumerate(LEAVES):
            assert _code(leaf, list(rfc9162.path(index, LOG)), index, other, root)


def test_a_path_alone_does_not_fix_the_size_so_size_and_root_go_together() -> None:
    path = rfc9162.path(0, LOG[:3])
    verify_inclusion(LEAVES[0], path, index=0, size=3, root=rfc9162.mth(LOG[:3]))
    verify_inclusion(LEAVES[0], path, index=0, size=4, root=rfc9162.mth(LOG[:3]))
    assert _code(LEAVES[0], list(path), 0, 4, rfc9162.mth(LOG[:4])) == "root_differs"


def test_a_node_cannot_be_passed_off_as_a_leaf() -> None:
    log = [b"a", b"b"]
    root = rfc9162.mth(log)
    assert _code(root, [], 0, 2, root) == "path_too_short"
    forged = leaves_of([b"\x01" + leaves_of(log)[0] + leaves_of(log)[1]])[0]
    assert _code(forged, [], 0, 1, root) == "root_differs"


@pytest.mark.parametrize(("index", "size"), [(0, 0), (1, 1), (13, 13), (-1, 13), (0, -5)])
def test_an_index_outside_the_tree_is_refused(index: int, size: int) -> None:
    assert _code(ROOT, [], index, size, ROOT) == "index_beyond_size"


def test_what_is_too_short_or_too_long_for_a_hash_is_refused() -> None:
    path = list(rfc9162.path(4, LOG))
    assert _code(LEAVES[4][:-1], path, 4, 13, ROOT) == "hash_length"
    assert _code(LEAVES[4], path, 4, 13, ROOT + b"\x00") == "hash_length"
    assert _code(LEAVES[4], [path[0] + path[1], *path[2:]], 4, 13, ROOT) == "hash_length"
    assert _code(LEAVES[4], [*path, b""], 4, 13, ROOT) == "hash_length"


def test_a_path_is_told_to_be_too_long_or_too_short() -> None:
    path = list(rfc9162.path(4, LOG))
    assert _code(LEAVES[4], [*path, ROOT], 4, 13, ROOT) == "path_too_long"
    assert _code(LEAVES[4], path[:-1], 4, 13, ROOT) == "path_too_short"


def _xor(left: bytes, right: bytes) -> bytes:
    return bytes(a ^ b for a, b in zip(left, right, strict=True))
