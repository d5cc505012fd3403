"""Bringing a database to the tables that this release expects, and telling when it is not there."""

import threading
from pathlib import Path
from typing import Any

from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, text

import migrations
from service.store.engine import Database
from service.store.every_table import metadata

GUARDS = {
    "postgresql": frozenset(
        {
            "event_only_grows",
            "event_row_stands",
            "log_head_stays",
            "log_head_only_advances",
            "publication_only_grows",
            "publication_row_stands",
            "checkpoint_only_grows",
            "checkpoint_row_stands",
        }
    ),
    "sqlite": frozenset(
        {
            "event_refuses_update",
            "event_refuses_delete",
            "event_refuses_replace",
            "log_head_refuses_delete",
            "log_head_refuses_replace",
            "log_head_only_advances",
            "publication_refuses_update",
            "publication_refuses_delete",
            "publication_refuses_replace",
            "checkpoint_refuses_update",
            "checkpoint_refuses_delete",
            "checkpoint_refuses_replace",
        }
    ),
}
"""The triggers without which the log, or what was published of it, could be rewritten."""

_TRIGGERS = {
    # 'A' is ENABLE ALWAYS: a trigger that is merely enabled can be bypassed by a session.
    "postgresql": (
        "SELECT tgname FROM pg_trigger JOIN pg_class ON pg_class.oid = tgrelid"
        " WHERE relnamespace = current_schema()::regnamespace AND tgenabled = 'A'"
    ),
    "sqlite": "SELECT name FROM sqlite_master WHERE type = 'trigger'",
}

_ONE_AT_A_TIME = threading.Lock()


def upgrade(database: Database, revision: str = "head") -> None:
    """Bring the database to a revision, all of the way or not at all.

    Upgrades of one database wait for one another, so every process may begin with this.
    """
    # Alembic keeps the connection of the upgrade in a variable of the whole process.
    with _ONE_AT_A_TIME, database.writing() as connection:
        command.upgrade(_config(connection), revision)


def current(database: Database) -> str | None:
    """The revision that the database is at, ``None`` for an empty one."""
    with database.reading() as connection:
        return MigrationContext.configure(connection).get_current_revision()


def newest() -> str:
    """The revision that this release expects."""
    revision = ScriptDirectory.from_config(_config(None)).get_current_head()
    assert revision is not None  # noqa: S101 - the first revision is part of every release
    return revision


def is_ready(database: Database) -> bool:
    """Whether the database is at the revision that this release expects, with every guard."""
    return current(database) == newest() and not missing_guards(database)


def drift(database: Database) -> list[Any]:
    """Where the database differs from the table definitions, in alembic's words; empty if not."""
    with database.reading() as connection:
        context = MigrationContext.configure(
            connection, opts={"compare_type": True, "compare_server_default": True}
        )
        differences: list[Any] = compare_metadata(context, metadata)
        return differences


def missing_guards(database: Database) -> frozenset[str]:
    """The triggers protecting the log that are not there, or not always in force."""
    dialect = database.engine.dialect.name
    with database.reading() as connection:
        found = connection.execute(text(_TRIGGERS[dialect])).scalars()
        return GUARDS[dialect] - frozenset(found)


def _config(connection: Connection | None) -> Config:
    config = Config()
    folder = str(Path(migrations.__file__).parent)
    config.set_main_option("script_location", folder.replace("%", "%%"))
    config.attributes["connection"] = connection
    return config
