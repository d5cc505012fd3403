"""Which results an award counts, and for whom: what a season or a show says of itself."""

from datetime import date
from typing import Protocol

import msgspec


class Counting(Protocol):
    """Whoever gives awards."""

    def counts(self, show: str, class_id: str, day: date | None) -> bool:
        """Whether a class of a show on a day counts."""
        ...

    def belonged(self, member: str, day: date | None) -> bool:
        """Whether a person or a horse belonged on a day."""
        ...


class OfShow(msgspec.Struct, frozen=True):
    """A show: every class of its own counts, for everybody."""

    show: str

    def counts(self, show: str, class_id: str, day: date | None) -> bool:
        """Whether the class is one of the show's own."""
        del class_id, day
        return show == self.show

    def belonged(self, member: str, day: date | None) -> bool:
        """Whoever shows belongs."""
        del member, day
        return True
