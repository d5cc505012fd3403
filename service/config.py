"""What Ringfold is told by its environment."""

import os
from collections.abc import Mapping

import msgspec

DATABASE_IN_THIS_FOLDER = "sqlite:///ringfold.db"


class Settings(msgspec.Struct, frozen=True, kw_only=True):
    """Where Ringfold keeps its data, and how it does its work.

    ``database`` is an SQLAlchemy URL of a SQLite file or of PostgreSQL. ``database_role`` is the
    PostgreSQL role that serves, where it is another than the one that upgrades.

    ``redis`` is the URL of the Redis through which workers are woken; without it the process that
    serves does their work itself. ``tick_seconds`` is how often they look for work unasked.

    ``public_url`` is what links in messages to subscribers begin with. ``webhook_networks`` are
    networks that messages are sent to although they are not public, such as ``10.1.0.0/16, ::1``,
    and ``webhook_without_tls`` is ``yes`` where http will do.

    ``origin`` is the log's name in what it signs. ``keys_dir`` is the folder of its signing keys
    and of the checkpoint it signed last; ``keys_passphrase`` is what the keys are encrypted with.

    ``requests_per_minute`` is how much each client may ask; 0 sets no limit. Processes that share a
    Redis count together, and others each for itself.
    """

    database: str = DATABASE_IN_THIS_FOLDER
    database_role: str | None = None
    redis: str | None = None
    tick_seconds: str = "10"
    public_url: str = ""
    webhook_networks: str = ""
    webhook_without_tls: str = "no"
    origin: str = "localhost/ringfold"
    keys_dir: str | None = None
    keys_passphrase: str | None = None
    requests_per_minute: str = "6000"


VARIABLES = {
    "RINGFOLD_DATABASE": "database",
    "RINGFOLD_DATABASE_ROLE": "database_role",
    "RINGFOLD_REDIS": "redis",
    "RINGFOLD_TICK_SECONDS": "tick_seconds",
    "RINGFOLD_PUBLIC_URL": "public_url",
    "RINGFOLD_WEBHOOK_NETWORKS": "webhook_networks",
    "RINGFOLD_WEBHOOK_WITHOUT_TLS": "webhook_without_tls",
    "RINGFOLD_ORIGIN": "origin",
    "RINGFOLD_KEYS_DIR": "keys_dir",
    "RINGFOLD_KEYS_PASSPHRASE": "keys_passphrase",
    "RINGFOLD_REQUESTS_PER_MINUTE": "requests_per_minute",
}
"""The environment's name of each setting; one that is not set, or empty, keeps its default."""


def read_settings(environment: Mapping[str, str] = os.environ) -> Settings:
    """The settings that an environment gives."""
    given = {name: environment[key] for key, name in VARIABLES.items() if environment.get(key)}
    return Settings(**given)
