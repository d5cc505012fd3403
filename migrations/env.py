"""Runs revisions on the connection that ``service.store.migrate`` opened, in one transaction."""

from alembic import context
from sqlalchemy import Connection

from service.store.every_table import metadata

UPGRADE_LOCK = 7_464_643_653  # any number of our own
WAIT = "60s"


def run(connection: Connection) -> None:
    """Apply what was asked, one upgrade at a time."""
    if connection.dialect.name == "postgresql":
        # Several processes may start at once: the others wait, then find nothing left to do.
        connection.exec_driver_sql(f"SET LOCAL lock_timeout = '{WAIT}'")
        connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({UPGRADE_LOCK})")
        connection.exec_driver_sql("SET LOCAL lock_timeout = '4s'")
        connection.exec_driver_sql("SET LOCAL statement_timeout = '5s'")
    context.configure(
        connection=connection,
        target_metadata=metadata,
        compare_type=True,
        compare_server_default=True,
        transactional_ddl=True,
    )
    context.run_migrations()


run(context.config.attributes["connection"])
