"""Standings: what official results earn in every award, carried forward event by event.

Lines are never changed. Each is in force from the event that brought it to the one that ended it,
so that standings can be read as of any moment, and two moments can be compared. A class that is
reopened keeps the lines of its last official results until it is made official again: until then
nobody knows what they will be.
"""

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from typing import NamedTuple, cast

from sqlalchemy import Connection

from events.awards.counting import Counting, OfShow
from events.awards.rules import AwardRules
from events.catalogue import ALL_EVENTS
from events.envelope import Event, RecordedEvent, split_stream, stream_of
from events.judged_class.events import ResultsMadeOfficial
from events.projections.earned import earned_lines
from events.projections.history import History
from events.projections.result import ResultDocument, result_document
from events.season import events as happened
from events.season.events import SeasonEvent
from events.season.state import INITIAL, SeasonState, fold
from events.show import events as shown
from events.show.events import ShowEvent
from events.show.state import INITIAL as UNPLANNED
from events.show.state import ShowState
from events.show.state import fold as fold_show
from service.desk.desk import Desk
from service.store import earned_lines as lines
from service.store import standings as kept
from service.store.earned_lines import NOTHING, Changed
from service.workers.follow import Handler

Pages = Iterable[Sequence[ResultDocument]]
Documents = Callable[[], Pages]


class _Turn(NamedTuple):
    """An event that may move standings, and the awards there: whose they are, what they count."""

    connection: Connection
    event: RecordedEvent
    owner: str
    giver: Counting
    awards: Mapping[str, AwardRules]


class _Season(NamedTuple):
    """A season as one of its own events has left it."""

    turn: _Turn
    state: SeasonState


class Standings:
    """The follower that keeps what official results earned, and when it turned."""

    name = kept.NAME
    version = 2

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._states: dict[str, SeasonState] = {}
        self._shows: dict[str, ShowState] = {}
        self.handlers: Mapping[type[Event], Handler | None] = {
            **dict.fromkeys(ALL_EVENTS),
            ResultsMadeOfficial: self._made_official,
            happened.SeasonOpened: self._opened,
            happened.AwardDefined: self._award_defined,
            happened.AwardDropped: self._award_dropped,
            happened.ShowCounted: self._show_moved,
            happened.ShowDropped: self._show_moved,
            happened.ClassLeftOut: self._class_moved,
            happened.ClassPutBack: self._class_moved,
            happened.MemberEnrolled: self._member_moved,
            happened.MemberStruckOff: self._member_moved,
            shown.ShowAwardDefined: self._show_award_defined,
            shown.ShowAwardDropped: self._show_award_dropped,
            shown.AwardTieSettled: self._tie_settled,
            shown.AwardSettlementWithdrawn: self._tie_settled,
        }

    def prepare(self, event: RecordedEvent) -> None:
        """Nothing: all of it is done in the transaction."""

    def clear(self, connection: Connection) -> None:
        """Forget every row that is made from the log."""
        kept.clear(connection)

    def _made_official(self, connection: Connection, event: RecordedEvent) -> None:
        document = self._document(event)
        kept.keep_result(connection, document)
        for season, version in kept.seasons(connection):
            state = self._state(season, version)
            if document.show in state.shows:
                turn = _Turn(connection, event, season, state, state.awards)
                self._reckon(turn, state.awards.values(), lambda: [[document]])
        version = kept.show_version(connection, document.show)
        if version:
            turn = self._show_turn(connection, event, document.show, version)
            self._reckon(turn, turn.awards.values(), lambda: [[document]])

    def _document(self, event: RecordedEvent) -> ResultDocument:
        history = History(self._desk.log.read(event.stream, to=event.version))
        scheduled = history.at_version(event.version).scheduled
        assert scheduled is not None  # noqa: S101 - a class begins with its scheduling
        book = self._desk.books.held_to(scheduled.rulebook)
        # Nothing is signed here, so nothing needs the root of the log's tree.
        return result_document(history, event.version, book, root=b"")

    # --- what a federation does to its season -----------------------------------------------------

    def _opened(self, connection: Connection, event: RecordedEvent) -> None:
        self._season(connection, event)

    def _award_defined(self, connection: Connection, event: RecordedEvent) -> None:
        assert isinstance(event.data, happened.AwardDefined)  # noqa: S101 - by the table above
        turn, state = self._season(connection, event)
        self._define(turn, event.data.rules, state.shows)

    def _award_dropped(self, connection: Connection, event: RecordedEvent) -> None:
        assert isinstance(event.data, happened.AwardDropped)  # noqa: S101 - as above
        self._drop(self._season(connection, event).turn, event.data.award)

    def _show_moved(self, connection: Connection, event: RecordedEvent) -> None:
        assert isinstance(event.data, happened.ShowCounted | happened.ShowDropped)  # noqa: S101
        turn, shows = self._season(connection, event).turn, [event.data.show]
        self._reckon(turn, turn.awards.values(), lambda: kept.results(connection, shows))

    def _class_moved(self, connection: Connection, event: RecordedEvent) -> None:
        assert isinstance(event.data, happened.ClassLeftOut | happened.ClassPutBack)  # noqa: S101
        (turn, state), class_id = self._season(connection, event), event.data.class_id
        self._reckon(
            turn,
            turn.awards.values(),
            lambda: kept.results(connection, state.shows, class_id=class_id),
        )

    def _member_moved(self, connection: Connection, event: RecordedEvent) -> None:
        assert isinstance(event.data, happened.MemberEnrolled | happened.MemberStruckOff)  # noqa: S101
        (turn, state), member = self._season(connection, event), event.data.member
        self._reckon(
            turn,
            [rules for rules in turn.awards.values() if rules.members_only],
            lambda: kept.results(connection, state.shows, member=member),
        )

    # --- what the office does to the awards of its show -------------------------------------------

    def _show_award_defined(self, connection: Connection, event: RecordedEvent) -> None:
        assert isinstance(event.data, shown.ShowAwardDefined)  # noqa: S101 - as above
        turn, show = self._show(connection, event)
        self._define(turn, event.data.rules, [show])

    def _show_award_dropped(self, connection: Connection, event: RecordedEvent) -> None:
        assert isinstance(event.data, shown.ShowAwardDropped)  # noqa: S101 - as above
        turn, _ = self._show(connection, event)
        self._drop(turn, event.data.award)

    def _tie_settled(self, connection: Connection, event: RecordedEvent) -> None:
        """No line moves, but the standing turns: settlements are read from the show itself."""
        assert isinstance(event.data, shown.AwardTieSettled | shown.AwardSettlementWithdrawn)  # noqa: S101
        turn, _ = self._show(connection, event)
        kept.turned(connection, turn.owner, event.data.award, event, NOTHING)

    def _show(self, connection: Connection, event: RecordedEvent) -> tuple[_Turn, str]:
        """The awards of a show as one of its own events has left them."""
        show = split_stream(event.stream)[1]
        kept.mark_season(connection, kept.of_show(show), event.version)
        return self._show_turn(connection, event, show, event.version), show

    def _show_turn(
        self, connection: Connection, event: RecordedEvent, show: str, version: int
    ) -> _Turn:
        state = self._show_state(show, version)
        return _Turn(connection, event, kept.of_show(show), OfShow(show), state.awards)

    # --- what comes of it -------------------------------------------------------------------------

    def _season(self, connection: Connection, event: RecordedEvent) -> _Season:
        season = split_stream(event.stream)[1]
        kept.mark_season(connection, season, event.version)
        state = self._state(season, event.version)
        return _Season(_Turn(connection, event, season, state, state.awards), state)

    def _define(self, turn: _Turn, rules: AwardRules, shows: Collection[str]) -> None:
        kept.define_award(turn.connection, turn.owner, rules, at=turn.event.position)
        changed = self._put(turn, rules, kept.results(turn.connection, shows))
        kept.turned(turn.connection, turn.owner, rules.award, turn.event, changed)

    def _drop(self, turn: _Turn, award: str) -> None:
        at = turn.event.position
        kept.end_award(turn.connection, turn.owner, award, at=at)
        changed = lines.end_all(turn.connection, turn.owner, award, at=at)
        kept.turned(turn.connection, turn.owner, award, turn.event, changed)

    def _reckon(self, turn: _Turn, awards: Iterable[AwardRules], documents: Documents) -> None:
        for rules in awards:
            changed = self._put(turn, rules, documents())
            if changed != NOTHING:
                kept.turned(turn.connection, turn.owner, rules.award, turn.event, changed)

    def _put(self, turn: _Turn, rules: AwardRules, pages: Pages) -> Changed:
        table = self._desk.points.kept_under(rules.points.digest)
        changed = NOTHING
        for page in pages:
            earned = [each for of in page for each in earned_lines(of, turn.giver, rules, table)]
            classes = [of.class_id for of in page]
            changed += lines.put(
                turn.connection,
                turn.owner,
                rules.award,
                classes,
                earned,
                at=turn.event.position,
            )
        return changed

    def _show_state(self, show: str, version: int) -> ShowState:
        """A show at a version, carried forward from where it was last looked at."""
        known = self._shows.get(show, UNPLANNED)
        if known.version > version:
            known = UNPLANNED
        if known.version < version:
            told = self._desk.log.read_data(
                stream_of("show", show), after=known.version, to=version
            )
            known = fold_show(cast("list[ShowEvent]", told), known)
        self._shows[show] = known
        return known

    def _state(self, season: str, version: int) -> SeasonState:
        """The season at a version, carried forward from where it was last looked at."""
        known = self._states.get(season, INITIAL)
        if known.version > version:
            known = INITIAL
        if known.version < version:
            stream = stream_of("season", season)
            told = self._desk.log.read_data(stream, after=known.version, to=version)
            known = fold(cast("list[SeasonEvent]", told), known)
        self._states[season] = known
        return known
