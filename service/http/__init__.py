"""The HTTP interface under ``/v1``, and the pages that explain its problems."""
