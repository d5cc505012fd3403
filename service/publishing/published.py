"""A published revision joined with what its ids read as today."""

from collections.abc import Iterable, Mapping
from typing import NamedTuple

import msgspec

from events.envelope import stream_of
from events.projections.result import ResultDocument, ResultRow, SeatResult
from service.desk.desk import Desk
from service.desk.names import Names, names
from service.store.publications import Publication

_decode = msgspec.json.Decoder(ResultDocument).decode


class Pair(NamedTuple):
    """Who rode which horse, by their ids."""

    exhibitor: str
    horse: str | None


class Published(msgspec.Struct, frozen=True, kw_only=True):
    """A revision, the document in it, and the pairs and names behind its entries.

    An erased person reads ``withheld``; so does a reason that the reader may not see.
    """

    publication: Publication
    document: ResultDocument
    pairs: Mapping[str, Pair]
    names: Names

    def exhibitor(self, entry: str) -> str:
        """The name of an entry's exhibitor."""
        return self.names.person(self.pairs[entry].exhibitor)

    def horse(self, entry: str) -> str | None:
        """The name of an entry's horse; ``None`` when it has none."""
        horse = self.pairs[entry].horse
        return None if horse is None else self.names.horse(horse)

    def rows(self) -> Iterable[tuple[SeatResult, ResultRow]]:
        """Every row of every judge."""
        return ((seat, row) for seat in self.document.seats for row in seat.rows)


def published(desk: Desk, publication: Publication, *, with_reasons: bool = False) -> Published:
    """The revision as it reads today; ``with_reasons`` for those who may read free text."""
    document = _decode(publication.document)
    stream = stream_of("class", publication.class_id)
    entries = desk.classes.at(stream, publication.version).state.entries
    pairs = {name: Pair(entry.exhibitor, entry.horse) for name, entry in entries.items()}
    corrections = document.supersedes.corrections if document.supersedes else ()
    return Published(
        publication=publication,
        document=document,
        pairs=pairs,
        names=names(
            desk.database,
            people=[
                *(p.exhibitor for p in pairs.values()),
                *(judge for s in document.seats for judge in (*s.judges_before, s.judge)),
            ],
            horses=[p.horse for p in pairs.values() if p.horse is not None],
            texts=[each.reason for each in corrections] if with_reasons else (),
        ),
    )
