"""What the application's own role may do on PostgreSQL, where it owns nothing."""

from sqlalchemy import Connection, text

from service.store.engine import Database
from service.store.errors import StoreError

RIGHTS = {
    "event": "SELECT, INSERT",
    "log_head": "SELECT, UPDATE (position, recorded_at)",
    "idempotency": "SELECT, INSERT",
    "rulebook": "SELECT, INSERT",
    "text": "SELECT, INSERT, UPDATE",
    "person": "SELECT, INSERT, UPDATE",
    "horse": "SELECT, INSERT, UPDATE",
    "person_facts": "SELECT, INSERT, UPDATE, DELETE",
    "horse_facts": "SELECT, INSERT, UPDATE",
    "api_key": "SELECT, INSERT, UPDATE",
    "follower": "SELECT, INSERT, UPDATE",
    "publication": "SELECT, INSERT",
    "outbox": "SELECT, INSERT, UPDATE, DELETE",
    "subscriber": "SELECT, INSERT, UPDATE",
    "subscriber_secret": "SELECT, INSERT, UPDATE, DELETE",
    "notice": "SELECT, INSERT",
    "merkle_node": "SELECT, INSERT",
    "tree_head": "SELECT, UPDATE (size)",
    "checkpoint": "SELECT, INSERT",
    "signing_key": "SELECT, INSERT, UPDATE (retired_at)",
    "reading": "SELECT, INSERT",
    "points_table": "SELECT, INSERT",
    "registry_turn": "SELECT, UPDATE (number)",
    "season_mark": "SELECT, INSERT, UPDATE, DELETE",
    "class_result": "SELECT, INSERT, DELETE",
    "class_result_member": "SELECT, INSERT, DELETE",
    "season_award": "SELECT, INSERT, UPDATE (valid_until), DELETE",
    "earned_line": "SELECT, INSERT, UPDATE (valid_until), DELETE",
    "standing_turn": "SELECT, INSERT, DELETE",
    "alembic_version": "SELECT",
}
"""Nothing of the log or of what was published is ever changed; deleted is only what is done, or
what is to be forgotten."""


class CannotGrant(StoreError):
    """Rights cannot be given to this role, or not on this database."""


def grant(database: Database, role: str) -> None:
    """Give a PostgreSQL role exactly the rights that serving needs; repeating it is harmless.

    ``CannotGrant`` where there is no such role, where it could do more than that all the same
    because it owns the log or is a superuser, and on SQLite, which knows no roles.
    """
    if database.is_sqlite:
        raise CannotGrant("SQLite knows no roles: whoever can write the file can write it all")
    quoted = database.engine.dialect.identifier_preparer.quote(role)
    with database.writing() as connection:
        _refuse_the_mighty(connection, role)
        schema = connection.scalar(text("SELECT quote_ident(current_schema())"))
        connection.exec_driver_sql(f"GRANT USAGE ON SCHEMA {schema} TO {quoted}")
        for table, rights in RIGHTS.items():
            connection.exec_driver_sql(f"REVOKE ALL ON {table} FROM {quoted}")
            connection.exec_driver_sql(f"GRANT {rights} ON {table} TO {quoted}")


def _refuse_the_mighty(connection: Connection, role: str) -> None:
    might = connection.execute(
        text(
            "SELECT rolsuper, pg_has_role(rolname, tableowner, 'MEMBER') AS owns"
            " FROM pg_roles, pg_tables"
            " WHERE rolname = :role AND tablename = 'event' AND schemaname = current_schema()"
        ),
        {"role": role},
    ).one_or_none()
    if might is None:
        raise CannotGrant(f"there is no role {role}, or no log yet; create both first")
    if might.rolsuper or might.owns:
        raise CannotGrant(f"{role} owns the log or is a superuser; serve with another role")
