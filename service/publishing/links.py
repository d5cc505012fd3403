"""Where published results are found."""

from urllib.parse import quote

import msgspec


class Links(msgspec.Struct, frozen=True, kw_only=True):
    """Addresses that begin with ``base``, such as ``https://results.example``, or with a slash."""

    base: str = ""

    def result(self, class_id: str, revision: int) -> str:
        """One revision of a class's official results."""
        return (
            f"{self.base.rstrip('/')}/v1/classes/{quote(class_id, safe='')}/publications/{revision}"
        )
