"""Rule books: every number and every consequence that a class is judged by, as data."""
