"""Asking for a test to be run on both databases."""

import pytest

ON_BOTH = pytest.mark.parametrize(
    "url",
    ["sqlite_path", pytest.param("postgres_path", marks=pytest.mark.postgres)],
    indirect=True,
)
"""What is tested holds on SQLite and on PostgreSQL."""
