"""Checkpoints as they are signed, kept and proved."""

from concurrent.futures import ThreadPoolExecutor

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from events.proof.checkpoint import parse_checkpoint
from events.proof.hashing import EMPTY_ROOT
from events.proof.tree import root_of
from events.proof.verify import verify_consistency, verify_inclusion
from events.refusals import Refusal
from service.signing import verify_checkpoint, verify_note
from service.store import checkpoints
from service.store.engine import Database
from service.store.log import Log
from service.trust.errors import TrustError
from service.trust.trust import Trust
from tests.store.given import several
from tests.trust.given import ORIGIN, add_others, leaves, verifier_keys


def test_a_checkpoint_names_the_whole_log_and_is_signed(
    trust: Trust, database: Database, log: Log
) -> None:
    add_others(log, 11)
    signed = trust.checkpoint_now()
    assert (signed.origin, signed.size) == (ORIGIN, 11)
    assert signed.root == root_of(leaves(database))
    checkpoint = verify_checkpoint(signed.note, verifier_keys(trust))
    assert (checkpoint.origin, checkpoint.size, checkpoint.root) == (ORIGIN, 11, signed.root)
    assert parse_checkpoint(verify_note(signed.note, verifier_keys(trust)).text) == checkpoint


def test_the_same_log_has_one_checkpoint_and_more_events_another(trust: Trust, log: Log) -> None:
    empty = trust.checkpoint_now()
    assert (empty.size, empty.root) == (0, EMPTY_ROOT)
    add_others(log, 3)
    first, again = trust.checkpoint_now(), trust.checkpoint_now()
    assert first == again == trust.latest_checkpoint()
    add_others(log, 1)
    trust.checkpoint()
    latest = trust.latest_checkpoint()
    assert latest is not None
    assert latest.size == 4
    assert [each.size for each in checkpoints.all_of(trust.database, ORIGIN)] == [0, 3, 4]


def test_several_signers_at_once_sign_each_size_once(trust: Trust, log: Log) -> None:
    def work(number: int) -> bytes:
        if number % 2:
            return trust.checkpoint_now().note
        # Into a stream of its own, so that no writer waits for another's version.
        log.append(f"class-{number}", several(3), expected_version=0)
        return b""

    with ThreadPoolExecutor(4) as pool:
        notes = set(pool.map(work, range(24))) - {b""}
    kept = [each.note for each in checkpoints.all_of(trust.database, ORIGIN)]
    assert notes <= set(kept)
    assert len(kept) == len(set(kept))


@pytest.mark.parametrize(
    "attempt", ["UPDATE checkpoint SET size = size + 1", "DELETE FROM checkpoint"]
)
def test_a_signed_checkpoint_stands(trust: Trust, database: Database, attempt: str) -> None:
    before = trust.checkpoint_now()
    with pytest.raises(DBAPIError, match=r"stands|only grows"), database.writing() as connection:
        connection.execute(text(attempt))
    assert trust.latest_checkpoint() == before


def test_a_second_checkpoint_of_one_size_is_refused_by_the_database(
    trust: Trust, database: Database
) -> None:
    signed = trust.checkpoint_now()
    with pytest.raises(DBAPIError, match="pk_checkpoint"), database.writing() as connection:
        checkpoints.keep(connection, signed)


def test_proofs_hold_under_the_newest_checkpoint_and_under_any_size(
    trust: Trust, database: Database, log: Log
) -> None:
    add_others(log, 13)
    under = trust.checkpoint_now()
    add_others(log, 4)
    earlier = trust.consistency(5, 9)
    all_leaves = leaves(database)
    for position in range(1, 14):
        proof = trust.inclusion(position)
        assert (proof.position, proof.size) == (position, 13)
        assert proof.leaf == all_leaves[position - 1]
        verify_inclusion(proof.leaf, proof.path, index=position - 1, size=13, root=under.root)
    for first in range(14):
        grown = trust.consistency(first)
        verify_consistency(
            grown.path,
            first=first,
            second=13,
            first_root=root_of(all_leaves[:first]),
            second_root=under.root,
        )
    verify_consistency(
        earlier.path,
        first=5,
        second=9,
        first_root=root_of(all_leaves[:5]),
        second_root=root_of(all_leaves[:9]),
    )


def test_what_no_tree_can_prove_is_refused_by_its_name(trust: Trust, log: Log) -> None:
    for ask in (lambda: trust.inclusion(1), lambda: trust.consistency(0)):
        with pytest.raises(Refusal) as refused:
            ask()
        assert refused.value.code == "no_checkpoint"
    add_others(log, 5)
    trust.checkpoint_now()
    asked = (
        (lambda: trust.inclusion(6), "position_beyond_size", "position"),
        (lambda: trust.inclusion(0), "position_beyond_size", "position"),
        (lambda: trust.inclusion(1, size=6), "unknown_size", "size"),
        (lambda: trust.inclusion(1, size=-1), "unknown_size", "size"),
        (lambda: trust.consistency(6), "unknown_size", "first"),
        (lambda: trust.consistency(1, 6), "unknown_size", "second"),
        (lambda: trust.consistency(4, 3), "sizes_reversed", "first"),
    )
    for ask_for, code, field in asked:
        with pytest.raises(Refusal) as refused:
            ask_for()
        assert (refused.value.code, refused.value.field) == (code, field)


def test_what_publishing_asks_for_is_covered_first(
    trust: Trust, database: Database, log: Log
) -> None:
    add_others(log, 3)
    with pytest.raises(TrustError) as refused:
        trust.covering(2)
    assert refused.value.code == "not_covered"
    trust.cover(2)
    assert trust.covering(2) == trust.covering(3) == 3
    assert trust.root(2) == root_of(leaves(database)[:2])
    add_others(log, 3)
    trust.cover(3)
    assert trust.latest_checkpoint() == trust.checkpoint_now() or trust.covering(3) == 3
    with pytest.raises(TrustError):
        Trust(database, trust.settings).root(9)


def test_every_checkpoint_is_held_against_the_bytes_of_the_log(
    embedded: Trust, sqlite: Database
) -> None:
    log = Log(sqlite)
    for more in (4, 3):
        add_others(log, more)
        embedded.checkpoint_now()
    assert embedded.check_log() == ()
    with sqlite.writing() as connection:  # as whoever owns the file can
        connection.exec_driver_sql("DROP TRIGGER event_refuses_update")
        connection.exec_driver_sql(
            """UPDATE event SET bytes = CAST(replace(bytes, '"mark":1', '"mark":6') AS BLOB)
            WHERE position = 6"""
        )
    assert [(each.size, each.says) for each in embedded.check_log()] == [
        (7, "the log's first 7 events are not those that were signed for")
    ]
    with sqlite.writing() as connection:
        connection.execute(text("DROP TRIGGER event_refuses_delete"))
        connection.execute(text("DELETE FROM event WHERE position > 5"))
    assert [(each.size, each.says) for each in embedded.check_log()] == [
        (7, "the log has lost events of its checkpoint of 7")
    ]
