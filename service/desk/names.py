"""Names and texts, joined to what the log says by id only when it is shown."""

from collections.abc import Iterable, Mapping

import msgspec

from events.envelope import TextRef
from service.desk.texts import shown
from service.store import registry
from service.store.engine import Database
from service.store.registry import WITHHELD, Horse, Person
from service.store.texts import bodies


class Names(msgspec.Struct, frozen=True, kw_only=True):
    """What ids and references read as for one reader."""

    people: Mapping[str, Person] = {}
    horses: Mapping[str, Horse] = {}
    texts: Mapping[TextRef, str | None] = {}

    def person(self, person: str) -> str:
        """A person's name, or that it is withheld."""
        known = self.people.get(person)
        return WITHHELD if known is None else known.shown_name

    def horse(self, horse: str) -> str:
        """A horse's name."""
        known = self.horses.get(horse)
        return WITHHELD if known is None else known.name

    def text(self, ref: TextRef) -> str:
        """What a text says, or that it is withheld."""
        return shown(ref, self.texts)


def names(
    database: Database,
    *,
    people: Iterable[str] = (),
    horses: Iterable[str] = (),
    texts: Iterable[TextRef] = (),
) -> Names:
    """What these ids and references read as."""
    persons, animals, refs = set(people), set(horses), set(texts)
    return Names(
        people=registry.people(database, persons) if persons else {},
        horses=registry.horses(database, animals) if animals else {},
        texts=bodies(database, refs) if refs else {},
    )
