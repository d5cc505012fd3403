"""The desk itself: what every use case works with."""

from collections.abc import Callable
from datetime import UTC, datetime

from events.judged_class.evolve import evolve as evolve_class
from events.judged_class.state import INITIAL as UNSCHEDULED
from events.judged_class.state import ClassState
from events.projections.timetable import NOT_RUN, Run, run_on
from events.season.state import INITIAL as UNOPENED
from events.season.state import SeasonState
from events.season.state import evolve as evolve_season
from events.show.state import INITIAL as UNPLANNED
from events.show.state import ShowState
from events.show.state import evolve as evolve_show
from service.desk.books import Books
from service.desk.directory import Directory
from service.desk.last import Last
from service.desk.names_kept import NamesKept
from service.desk.points import PointsTables
from service.desk.standings_kept import StandingsKept
from service.desk.turns import Turns
from service.store.engine import Database
from service.store.folds import Aggregate, StreamFolds
from service.store.log import Log


def utc_now() -> datetime:
    """The server's clock."""
    return datetime.now(UTC)


class Desk:
    """One database with what is remembered of it; may be shared between threads.

    Nothing that it remembers is needed: another desk on the same database answers the same.
    """

    def __init__(self, database: Database, clock: Callable[[], datetime] = utc_now) -> None:
        self.database = database
        self.clock = clock
        self.log = Log(database)
        self.classes: StreamFolds[ClassState] = StreamFolds(
            self.log, Aggregate(UNSCHEDULED, evolve_class)
        )
        self.shows: StreamFolds[ShowState] = StreamFolds(
            self.log, Aggregate(UNPLANNED, evolve_show)
        )
        self.seasons: StreamFolds[SeasonState] = StreamFolds(
            self.log, Aggregate(UNOPENED, evolve_season)
        )
        self.runs: StreamFolds[Run] = StreamFolds(
            self.log, Aggregate(NOT_RUN, run_on, envelopes=True), capacity=512
        )
        self.turns = Turns()
        self.books = Books(database)
        self.points = PointsTables(database)
        self.announced = NamesKept(database)
        self.days = Last()
        self.standings = StandingsKept(self.log, self.points)
        self.directory = Directory(self.log)

    def close(self) -> None:
        """Close every connection that is not in use."""
        self.database.close()
