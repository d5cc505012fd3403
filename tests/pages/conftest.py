"""A show, and a class that was protested, behind their screens."""

from tests.http.conftest import (  # noqa: F401 - pytest finds fixtures where they are imported
    application,
    house,
    migrated_sqlite,
    opened_sqlite,
    protested,
    protested_sqlite,
)
