"""The tree and its proofs against what others have published.

Sources, each read unless it says otherwise:

- c2sp.org/merkle-tree, which restates RFC 9162, section 2.1, and its example tree of seven leaves
  (the RFC's own section 2.1.5 from memory);
- github.com/google/certificate-transparency, ``python/ct/crypto/merkle_test.py``, and
  github.com/transparency-dev/merkle, ``rfc6962/rfc6962_test.go``, ``proof/verify_test.go`` and
  ``proof/proof_test.go``: the RFC 6962 test data (eight entries, their roots, proofs);
- golang.org/x/mod, ``sumdb/tlog/testdata/argon2020``: answers of a public certificate log.
"""

from pathlib import Path

import msgspec
import pytest

from events.proof.hashing import EMPTY_ROOT, leaf_hash, node_hash
from events.proof.paths import (
    consistency_nodes,
    consistency_proof,
    inclusion_nodes,
    inclusion_proof,
)
from events.proof.refused import ConsistencyRefused, InclusionRefused
from events.proof.tree import Frontier, NodeAt, complete_nodes, root_of
from events.proof.verify import verify_consistency, verify_inclusion
from tests.core.proof import rfc9162

ENTRIES = [
    bytes.fromhex(entry)
    for entry in (
        "", "00", "10", "2021", "3031", "40414243", "5051525354555657",
        "606162636465666768696a6b6c6d6e6f",
    )
]  # fmt: skip
LEAVES = [leaf_hash(entry) for entry in ENTRIES]
ROOTS = [
    bytes.fromhex(root)
    for root in (
        "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
        "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
        "fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125",
        "aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77",
        "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
        "4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4",
        "76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef",
        "ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c",
        "5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328",
    )
]

# transparency-dev/merkle, proof/verify_test.go; its inclusion proofs count leaves from 1.
INCLUSION = [
    (1, 1, ()),
    (1, 8, ("96a296d224f285c67bee93c30f8a309157f0daa35dc5b87e410b78630a09cfc7",
            "5f083f0a1a33ca076a95279832580db3e0ef4584bdff1f54c8a360f50de3031e",
            "6b47aaf29ee3c2af9af889bc1fb9254dabd31177f16232dd6aab035ca39bf6e4")),
    (6, 8, ("bc1a0643b12e4d2d7c77918f44e0f4f79a838b6cf9ec5b5c283e1f4d88599e6b",
            "ca854ea128ed050b41b35ffc1b87b8eb2bde461e9e3b5596ece6b9d5975a0ae0",
            "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7")),
    (3, 3, ("fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125",)),
    (2, 5, ("6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
            "5f083f0a1a33ca076a95279832580db3e0ef4584bdff1f54c8a360f50de3031e",
            "bc1a0643b12e4d2d7c77918f44e0f4f79a838b6cf9ec5b5c283e1f4d88599e6b")),
]  # fmt: skip
CONSISTENCY = [
    (1, 1, ()),
    (1, 8, ("96a296d224f285c67bee93c30f8a309157f0daa35dc5b87e410b78630a09cfc7",
            "5f083f0a1a33ca076a95279832580db3e0ef4584bdff1f54c8a360f50de3031e",
            "6b47aaf29ee3c2af9af889bc1fb9254dabd31177f16232dd6aab035ca39bf6e4")),
    (6, 8, ("0ebc5d3437fbe2db158b9f126a1d118e308181031d0a949f8dededebc558ef6a",
            "ca854ea128ed050b41b35ffc1b87b8eb2bde461e9e3b5596ece6b9d5975a0ae0",
            "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7")),
    (2, 5, ("5f083f0a1a33ca076a95279832580db3e0ef4584bdff1f54c8a360f50de3031e",
            "bc1a0643b12e4d2d7c77918f44e0f4f79a838b6cf9ec5b5c283e1f4d88599e6b")),
    (6, 7, ("0ebc5d3437fbe2db158b9f126a1d118e308181031d0a949f8dededebc558ef6a",
            "b08693ec2e721597130641e8211e7eedccb4c26413963eee6c1e2ed16ffb1a5f",
            "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7")),
]  # fmt: skip


def _nodes(leaves: list[bytes]) -> dict[NodeAt, bytes]:
    nodes = complete_nodes(Frontier(), leaves)
    return {NodeAt(node.level, node.nth): node.hash for node in nodes}


def _unhex(path: tuple[str, ...]) -> tuple[bytes, ...]:
    return tuple(bytes.fromhex(step) for step in path)


def test_the_roots_of_the_rfc_6962_test_data() -> None:
    assert [root_of(LEAVES[:size]) for size in range(9)] == ROOTS
    assert ROOTS[0] == EMPTY_ROOT


def test_the_recursion_that_tests_us_gives_the_roots_of_the_rfc_6962_test_data() -> None:
    assert [rfc9162.mth(ENTRIES[:size]) for size in range(9)] == ROOTS


@pytest.mark.parametrize(
    ("entry", "digest"),
    [
        (b"", "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d"),
        (b"L123456", "395aa064aa4c29f7010acfe3f25db9485bbd4b91897b6ad7ad547639252b4d56"),
        (
            bytes(range(0x10, 0x20)),
            "3bfb960453ebaebf33727da7a1f4db38acc051d381b6da20d6d4e88f0eabfd7a",
        ),
    ],
)
def test_published_leaf_hashes(entry: bytes, digest: str) -> None:
    assert leaf_hash(entry).hex() == digest


@pytest.mark.parametrize(
    ("left", "right", "digest"),
    [
        (b"N123", b"N456", "aa217fe888e47007fa15edab33c2b492a722cb106c64667fc2b044444de66bbb"),
        (
            bytes(range(32)),
            bytes(range(32, 64)),
            "1a378704c17da31e2d05b6d121c2bb2c7d76f6ee6fa8f983e596c2d034963c57",
        ),
    ],
)
def test_published_node_hashes(left: bytes, right: bytes, digest: str) -> None:
    assert node_hash(left, right).hex() == digest


@pytest.mark.parametrize(("leaf", "size", "path"), INCLUSION)
def test_published_inclusion_proofs_are_made_and_hold(
    leaf: int, size: int, path: tuple[str, ...]
) -> None:
    made = inclusion_proof(_nodes(LEAVES).__getitem__, leaf - 1, size)
    assert made == _unhex(path) == rfc9162.path(leaf - 1, ENTRIES[:size])
    verify_inclusion(LEAVES[leaf - 1], made, index=leaf - 1, size=size, root=ROOTS[size])


@pytest.mark.parametrize(("first", "second", "path"), CONSISTENCY)
def test_published_consistency_proofs_are_made_and_hold(
    first: int, second: int, path: tuple[str, ...]
) -> None:
    made = consistency_proof(_nodes(LEAVES).__getitem__, first, second)
    assert made == _unhex(path) == rfc9162.proof(first, ENTRIES[:second])
    verify_consistency(
        made, first=first, second=second, first_root=ROOTS[first], second_root=ROOTS[second]
    )


# transparency-dev/merkle, proof/verify_test.go, corruptInclusionProof and corruptConsistencyProof.
@pytest.mark.parametrize(("leaf", "size", "path"), INCLUSION)
def test_published_corruptions_of_an_inclusion_proof_are_refused(
    leaf: int, size: int, path: tuple[str, ...]
) -> None:
    index, good, root = leaf - 1, list(_unhex(path)), ROOTS[size]
    other = bytes.fromhex("abacaba000000000000000000000000000000000000000000060061e00123456")
    leaf_value = LEAVES[index]
    claims = [
        *((leaf_value, good, at, size, root) for at in (index - 1, index + 1, index ^ 2)),
        *((leaf_value, good, index, other_size, root) for other_size in (size * 2, size // 2)),
        (b"WrongLeaf", good, index, size, root),
        *((leaf_value, good, index, size, wrong) for wrong in (EMPTY_ROOT, other)),
        *((leaf_value, [*good, more], index, size, root) for more in (b"", root)),
        *((leaf_value, [more, *good], index, size, root) for more in (b"", root)),
        *((leaf_value, good[:-1], index, size, root) for _ in good[:1]),
        *((leaf_value, [good[0], other, *good[1:]], index, size, root) for _ in good[1:2]),
    ]
    for leaf_given, steps, at, of, under in claims:
        with pytest.raises(InclusionRefused):
            verify_inclusion(leaf_given, steps, index=at, size=of, root=under)


@pytest.mark.parametrize(("first", "second", "path"), CONSISTENCY[1:])
def test_published_corruptions_of_a_consistency_proof_are_refused(
    first: int, second: int, path: tuple[str, ...]
) -> None:
    good, roots = list(_unhex(path)), (ROOTS[first], ROOTS[second])
    claims = [
        *((good, size, second, roots) for size in (first - 1, first + 1, first ^ 2)),
        *((good, first, size, roots) for size in (second * 2, second // 2)),
        (good, first, second, (b"WrongRoot", roots[1])),
        (good, first, second, (roots[0], b"WrongRoot")),
        (good, first, second, (roots[1], roots[0])),
        ([], first, second, roots),
        *(([*good, more], first, second, roots) for more in (b"", *roots)),
        *(([more, *good], first, second, roots) for more in (b"", *roots, good[0])),
        (good[:-1], first, second, roots),
    ]
    for steps, before, after, (first_root, second_root) in claims:
        with pytest.raises(ConsistencyRefused):
            verify_consistency(
                steps, first=before, second=after, first_root=first_root, second_root=second_root
            )


def test_the_example_tree_of_seven_leaves_has_the_proofs_that_its_text_gives() -> None:
    entries = [b"d%d" % n for n in range(7)]
    a, b, c, d, e, f, j = (leaf_hash(entry) for entry in entries)
    g, h, i = node_hash(a, b), node_hash(c, d), node_hash(e, f)
    k, top_right = node_hash(g, h), node_hash(i, j)
    read = _nodes([a, b, c, d, e, f, j]).__getitem__
    assert root_of([a, b, c, d, e, f, j]) == node_hash(k, top_right)
    paths = {0: (b, h, top_right), 3: (c, g, top_right), 4: (f, j, k), 6: (i, k)}
    assert {at: inclusion_proof(read, at, 7) for at in paths} == paths
    proofs = {3: (c, d, g, top_right), 4: (top_right,), 6: (i, j, k)}
    assert {first: consistency_proof(read, first, 7) for first in proofs} == proofs


# transparency-dev/merkle, proof/proof_test.go; a subtree is given here as its nodes in a row.
@pytest.mark.parametrize(
    ("index", "size", "nodes"),
    [
        (0, 1, []),
        (1, 3, [(0, 0), (0, 2)]),
        (0, 7, [(0, 1), (1, 1), (1, 2), (0, 6)]),
        (6, 7, [(1, 2), (2, 0)]),
        (3, 6, [(0, 2), (1, 0), (1, 2)]),
        (10, 15, [(0, 11), (1, 4), (1, 6), (0, 14), (3, 0)]),
        (24, 31, [(0, 25), (1, 13), (1, 14), (0, 30), (3, 2), (4, 0)]),
        (81, 95, [(0, 80), (1, 41), (2, 21), (2, 22), (1, 46), (0, 94), (4, 4), (6, 0)]),
    ],
)
def test_published_inclusion_proofs_read_these_nodes(
    index: int, size: int, nodes: list[tuple[int, int]]
) -> None:
    assert list(inclusion_nodes(index, size)) == nodes


@pytest.mark.parametrize(
    ("first", "second", "nodes"),
    [
        (1, 2, [(0, 1)]),
        (2, 8, [(1, 1), (2, 1)]),
        (3, 7, [(0, 2), (0, 3), (1, 0), (1, 2), (0, 6)]),
        (4, 7, [(1, 2), (0, 6)]),
        (5, 7, [(0, 4), (0, 5), (0, 6), (2, 0)]),
        (7, 8, [(0, 6), (0, 7), (1, 2), (2, 0)]),
        (10, 15, [(1, 4), (1, 5), (1, 6), (0, 14), (3, 0)]),
        (24, 31, [(3, 2), (2, 6), (1, 14), (0, 30), (4, 0)]),
        (81, 95, [(0, 80), (0, 81), (1, 41), (2, 21), (2, 22), (1, 46), (0, 94), (4, 4), (6, 0)]),
    ],
)
def test_published_consistency_proofs_read_these_nodes(
    first: int, second: int, nodes: list[tuple[int, int]]
) -> None:
    assert list(consistency_nodes(first, second)) == nodes


class _Argon(msgspec.Struct, frozen=True):
    source: str
    size: int
    root: bytes
    index: int
    entry: bytes
    path: tuple[bytes, ...]
    first: int
    first_root: bytes
    consistency: tuple[bytes, ...]


class _EarlyLog(msgspec.Struct, frozen=True):
    source: str
    size: int
    root: bytes
    index: int
    leaf: bytes
    path: tuple[bytes, ...]


class _Logs(msgspec.Struct, frozen=True):
    argon2020: _Argon
    early_log: _EarlyLog


LOGS = msgspec.json.decode(
    Path(__file__).with_name("certificate_logs.json").read_bytes(), type=_Logs
)  # base64 text becomes bytes


def test_proofs_of_public_certificate_logs_hold() -> None:
    argon, early = LOGS.argon2020, LOGS.early_log
    for log, leaf in ((argon, leaf_hash(argon.entry)), (early, early.leaf)):
        verify_inclusion(leaf, log.path, index=log.index, size=log.size, root=log.root)
        with pytest.raises(InclusionRefused):
            verify_inclusion(leaf, log.path, index=log.index + 1, size=log.size, root=log.root)


def test_a_consistency_proof_of_a_public_certificate_log_holds() -> None:
    log = LOGS.argon2020
    assert (log.first, log.size) == (3_654_490, 961_984_013)
    verify_consistency(
        log.consistency,
        first=log.first,
        second=log.size,
        first_root=log.first_root,
        second_root=log.root,
    )
    with pytest.raises(ConsistencyRefused):
        verify_consistency(
            log.consistency,
            first=log.first + 1,
            second=log.size,
            first_root=log.first_root,
            second_root=log.root,
        )
