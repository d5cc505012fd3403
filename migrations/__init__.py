"""How the database came to be: one revision a file, applied in order."""
