"""A federation that keeps a season over the office's shows, and what its standings must be."""

import itertools
from collections.abc import Iterator
from datetime import date

from events.awards.counting import Counting, OfShow
from events.awards.rules import AwardRules, Carrier, Category
from events.envelope import Command, RecordedEvent, Role, split_stream, stream_of
from events.judged_class.events import ResultsMadeOfficial
from events.projections.earned import earned_lines
from events.projections.history import History
from events.projections.result import ResultDocument, result_document
from events.projections.settled import settled
from events.projections.standings import StandingRow, standings
from events.season import commands as ask_season
from events.season.state import SeasonState, fold
from events.show.state import fold as fold_show
from service.desk import seasons
from service.desk import standings as read
from service.desk.caller import Ask, Caller, Receipt
from service.desk.desk import Desk
from service.desk.season_moments import AsOf
from service.desk.seasons import AwardPlan
from service.points import shipped_table
from service.store import followers
from service.workers.follow import follow
from service.workers.standings import Standings

SEASON = "hill-country-2026"
HIGH_POINT = "high-point"
ANY = Category(name="All classes")


class Federation:
    """Whoever keeps the season, with the follower that carries its standings forward."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.follower = Standings(desk)
        self._numbers: Iterator[int] = itertools.count(1)
        followers.register(
            desk.database, self.follower.name, self.follower.version, now=desk.clock()
        )

    def caller(self, role: Role = "federation") -> Caller:
        return Caller(key=f"key-{role}-{id(self)}", role=role)

    def ask(self) -> Ask:
        return Ask(caller=self.caller(), id=f"season-command-{next(self._numbers)}")

    def open_season(self, *shows: str, season: str = SEASON) -> None:
        opening = ask_season.OpenSeason(
            federation="hill-country",
            name="Season 2026",
            first_day=date(2026, 1, 1),
            last_day=date(2026, 12, 31),
        )
        seasons.open_season(self.desk, self.ask(), opening, season)
        for show in shows:
            self.do(ask_season.CountShow(show=show), season)

    def define(
        self,
        award: str = HIGH_POINT,
        table: str = "ihsa-individual",
        *,
        carrier: Carrier = "rider",
        season: str = SEASON,
        reason: str | None = None,
        **further: object,
    ) -> Receipt:
        plan = AwardPlan(
            award=award,
            name=award.capitalize(),
            carrier=carrier,
            points=shipped_table(table),
            categories=(ANY,),
            **further,  # type: ignore[arg-type]
        )
        return seasons.define_award(self.desk, self.ask(), season, plan, reason=reason)

    def do(self, command: Command, season: str = SEASON) -> None:
        seasons.carry_out(self.desk, self.ask(), season, command)

    def follow(self, batch: int = 500) -> None:
        """Standings come to the end of the log."""
        while follow(self.desk.log, self.follower, self.desk.clock, batch=batch):
            pass

    def rows(
        self, award: str = HIGH_POINT, as_of: AsOf = None, season: str = SEASON
    ) -> tuple[StandingRow, ...]:
        tag = read.tag(self.desk, self.caller(), season, award, as_of)
        return read.standing(self.desk, season, award, tag).rows

    def points(self, award: str = HIGH_POINT, as_of: AsOf = None) -> dict[str, float]:
        """What each carrier has, in the order of the standings."""
        return {row.carrier: float(row.points) for row in self.rows(award, as_of)}


def expected(desk: Desk, season: str, award: str, position: int) -> tuple[StandingRow, ...] | None:
    """The standings by the first so many events of the log, made from nothing else."""
    told = desk.log.feed(0, position) if position else ()
    state = _season(told, season)
    rules = state.awards.get(award)
    return None if rules is None else _rows(desk, told, rules, state)


def expected_of_show(
    desk: Desk, show: str, award: str, position: int
) -> tuple[StandingRow, ...] | None:
    """The standings of a show's award, made in the same way."""
    told = desk.log.feed(0, position) if position else ()
    stream = stream_of("show", show)
    state = fold_show(each.data for each in told if each.stream == stream)  # type: ignore[misc]
    rules = state.awards.get(award)
    if rules is None:
        return None
    return settled(_rows(desk, told, rules, OfShow(show)), state.settled(award)).rows


def _rows(
    desk: Desk, told: tuple[RecordedEvent, ...], rules: AwardRules, giver: Counting
) -> tuple[StandingRow, ...]:
    return standings(
        rules,
        [
            line
            for document in _documents(desk, told)
            for line in earned_lines(document, giver, rules, shipped_table(rules.points.id))
        ],
    )


def _season(told: tuple[RecordedEvent, ...], season: str) -> SeasonState:
    return fold(each.data for each in told if each.stream == stream_of("season", season))  # type: ignore[misc]


def _documents(desk: Desk, told: tuple[RecordedEvent, ...]) -> Iterator[ResultDocument]:
    last = {each.stream: each for each in told if isinstance(each.data, ResultsMadeOfficial)}
    for stream, event in last.items():
        assert split_stream(stream)[0] == "class"
        history = History(tuple(each for each in told if each.stream == stream))
        scheduled = history.at_version(event.version).scheduled
        assert scheduled is not None
        book = desk.books.held_to(scheduled.rulebook)
        yield result_document(history, event.version, book, root=b"")
