"""The standings that were read last, each remembered with what it follows from."""

from functools import lru_cache
from typing import cast

import msgspec

from events.awards.rules import AwardRules
from events.envelope import stream_of
from events.projections.champions import with_champions
from events.projections.settled import StaleSettlement, settled
from events.projections.standings import StandingRow, standings
from events.show.events import SettledBy, ShowEvent
from events.show.state import Settlement, fold
from service.desk.points import PointsTables
from service.store import earned_lines
from service.store import standings as kept
from service.store.log import Log

REMEMBERED = 8


class Standing(msgspec.Struct, frozen=True, kw_only=True):
    """The standings of one award by its rules; ``position`` is that of the event they turned at.

    ``reckoned`` are the rows before anything settled a tie. ``settlements`` did so, but for those
    that are ``stale``.
    """

    position: int
    rules: AwardRules
    rows: tuple[StandingRow, ...]
    reckoned: tuple[StandingRow, ...] = ()
    settlements: tuple[Settlement, ...] = ()
    stale: tuple[StaleSettlement, ...] = ()

    def settled_by(self, row: StandingRow) -> SettledBy | None:
        """What settled the tie of a row; ``None`` where nothing had to."""
        ways = {each.version: each.event.by for each in self.settlements}
        return None if row.settled is None else ways[row.settled]


class StandingsKept:
    """The standings of one database; what one follows from never changes."""

    def __init__(self, log: Log, points: PointsTables) -> None:
        self._log = log
        self._points = points
        self._remembered = lru_cache(maxsize=REMEMBERED)(self._read)

    def at(self, owner: str, award: str, position: int) -> Standing | None:
        """The standing that an award turned to at a position; ``None`` where it was dropped.

        ``owner`` is a season's id, or what a show's awards are kept under.
        """
        return self._remembered(owner, award, position)

    def _read(self, owner: str, award: str, position: int) -> Standing | None:
        database = self._log.database
        rules = kept.rules_at(database, owner, award, position)
        if rules is None:
            return None
        table = self._points.kept_under(rules.points.digest)
        lines = earned_lines.at(database, owner, award, position)
        rows = standings(rules, with_champions(rules, table, lines))
        settlements = self._settlements(owner, award, position)
        found = settled(rows, settlements)
        return Standing(
            position=position,
            rules=rules,
            rows=found.rows,
            reckoned=rows,
            settlements=settlements,
            stale=found.stale,
        )

    def _settlements(self, owner: str, award: str, position: int) -> tuple[Settlement, ...]:
        """What had settled ties of a show's award once the event at a position had happened."""
        if not owner.startswith(kept.SHOW_MARK):
            return ()
        stream = stream_of("show", owner.removeprefix(kept.SHOW_MARK))
        told = (each.data for each in self._log.read(stream) if each.position <= position)
        return fold(cast("ShowEvent", each) for each in told).settled(award)
