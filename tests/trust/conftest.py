"""A log of one database with keys of its own, on SQLite and on PostgreSQL alike."""

from pathlib import Path

import pytest

from service.store.engine import Database
from service.trust.settings import TrustSettings
from service.trust.trust import Trust
from tests.store.conftest import (
    database,
    log,
    migrated_sqlite,
    postgres,
    sqlite,
    whole_postgres,
)
from tests.trust.given import ORIGIN

__all__ = ["database", "log", "migrated_sqlite", "postgres", "sqlite", "whole_postgres"]


@pytest.fixture
def settings(tmp_path: Path) -> TrustSettings:
    return TrustSettings(origin=ORIGIN, folder=tmp_path / "keys")


@pytest.fixture
def trust(database: Database, settings: TrustSettings) -> Trust:
    """With a first key in force, on either database."""
    made = Trust(database, settings)
    made.keys.make()
    return made


@pytest.fixture
def embedded(sqlite: Database, settings: TrustSettings) -> Trust:
    """With a first key in force, on a SQLite file."""
    made = Trust(sqlite, settings)
    made.keys.make()
    return made
