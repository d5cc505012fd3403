"""A whole class scored from one file, with no server and no database."""
