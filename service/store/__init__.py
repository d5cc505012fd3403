"""The log and what lies beside it, on SQLite or PostgreSQL."""
