"""The standings that were read last, each remembered with what it follows from."""

from functools import lru_cache

import msgspec

from events.awards.rules import AwardRules
from events.projections.standings import StandingRow, standings
from service.store import earned_lines
from service.store import standings as kept
from service.store.engine import Database

REMEMBERED = 8


class Standing(msgspec.Struct, frozen=True, kw_only=True):
    """The standings of one award by its rules; ``position`` is that of the event they turned at."""

    position: int
    rules: AwardRules
    rows: tuple[StandingRow, ...]


class StandingsKept:
    """The standings of one database; what one follows from never changes."""

    def __init__(self, database: Database) -> None:
        self._database = database
        self._remembered = lru_cache(maxsize=REMEMBERED)(self._read)

    def at(self, season: str, award: str, position: int) -> Standing | None:
        """The standing that an award turned to at a position; ``None`` where it was dropped."""
        return self._remembered(season, award, position)

    def _read(self, season: str, award: str, position: int) -> Standing | None:
        rules = kept.rules_at(self._database, season, award, position)
        if rules is None:
            return None
        lines = earned_lines.at(self._database, season, award, position)
        return Standing(position=position, rules=rules, rows=standings(rules, lines))
