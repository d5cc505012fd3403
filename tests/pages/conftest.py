"""A class that was protested, behind its screens."""

from tests.http.conftest import (  # noqa: F401 - pytest finds fixtures where they are imported
    application,
    migrated_sqlite,
    opened_sqlite,
    protested,
    protested_sqlite,
)
