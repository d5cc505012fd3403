"""Points tables beside the log: each kept once, under the digest of its very content."""

import msgspec
import pytest

from service.desk.points import kept
from service.points import NoSuchTable, shipped_table
from service.store import points_tables
from service.store.engine import Database

TABLE = kept(shipped_table("gchsc-high-point"))


def test_a_table_is_kept_once_and_found_by_its_digest(database: Database) -> None:
    assert points_tables.find(database, TABLE.digest) is None
    for _ in range(2):
        with database.writing() as connection:
            for statement in points_tables.keeping(database, TABLE):
                connection.execute(statement)
    assert points_tables.find(database, TABLE.digest) == TABLE
    assert msgspec.json.decode(TABLE.content)["id"] == "gchsc-high-point"


def test_content_under_another_digest_is_refused(database: Database) -> None:
    with pytest.raises(ValueError, match="digest: sha256:0 is not the digest of gchsc-high-point"):
        points_tables.keeping(database, TABLE._replace(digest="sha256:0"))


def test_a_table_that_does_not_ship_is_named_with_those_that_do() -> None:
    with pytest.raises(NoSuchTable, match="no points table `best` here; there are amha-world"):
        shipped_table("best")
