"""What Ringfold is told by its environment."""

import os
from collections.abc import Mapping

import msgspec

DATABASE_IN_THIS_FOLDER = "sqlite:///ringfold.db"


class Settings(msgspec.Struct, frozen=True, kw_only=True):
    """Where Ringfold keeps its data.

    ``database`` is an SQLAlchemy URL of a SQLite file or of PostgreSQL. ``database_role`` is the
    PostgreSQL role that serves, where it is another than the one that upgrades.
    """

    database: str = DATABASE_IN_THIS_FOLDER
    database_role: str | None = None


VARIABLES = {"RINGFOLD_DATABASE": "database", "RINGFOLD_DATABASE_ROLE": "database_role"}
"""The environment's name of each setting; one that is not set, or empty, keeps its default."""


def read_settings(environment: Mapping[str, str] = os.environ) -> Settings:
    """The settings that an environment gives."""
    given = {name: environment[key] for key, name in VARIABLES.items() if environment.get(key)}
    return Settings(**given)
