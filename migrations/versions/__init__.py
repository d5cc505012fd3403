"""The revisions, named by their number."""
