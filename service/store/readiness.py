"""How a database stands to this release, before anything is done with it."""

from typing import Literal

from sqlalchemy import inspect

from service.store import migrate
from service.store.engine import Database

Standing = Literal["empty", "ready", "behind", "ahead", "unguarded", "foreign"]


def standing(database: Database) -> Standing:
    """Whether the database can serve.

    ``empty``: there is nothing in it. ``behind`` and ``ahead``: an earlier or a later release made
    its tables. ``unguarded``: a trigger that protects the log is missing. ``foreign``: its tables
    are not Ringfold's.
    """
    revision = migrate.current(database)
    if revision is None:
        return "foreign" if tables(database) else "empty"
    if not revision.isdecimal():
        return "foreign"
    newest = int(migrate.newest())
    if int(revision) != newest:
        return "behind" if int(revision) < newest else "ahead"
    return "unguarded" if migrate.missing_guards(database) else "ready"


def tables(database: Database) -> list[str]:
    """The tables that are there, whoever made them."""
    with database.reading() as connection:
        return inspect(connection).get_table_names()
