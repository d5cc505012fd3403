"""Standings: what official results earn in every award, carried forward event by event.

Lines are never changed. Each is in force from the event that brought it to the one that ended it,
so that standings can be read as of any moment, and two moments can be compared. A class that is
reopened keeps the lines of its last official results until it is made official again: until then
nobody knows what they will be.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import NamedTuple, cast

from sqlalchemy import Connection

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
from service.desk.desk import Desk
from service.store import earned_lines as lines
from service.store import standings as kept
from service.store.earned_lines import NOTHING, Changed
from service.workers.follow import Handler

Pages = Iterable[Sequence[ResultDocument]]
Documents = Callable[[], Pages]


class _Turn(NamedTuple):
    """An event that may move standings, and the season as it is known there."""

    connection: Connection
    event: RecordedEvent
    season: str
    state: SeasonState


class Standings:
    """The follower that keeps what official results earned, and when it turned."""

    name = kept.NAME
    version = 1

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._states: dict[str, SeasonState] = {}
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
            turn = self._turn(connection, event, season, version)
            if document.show in turn.state.shows:
                self._reckon(turn, turn.state.awards.values(), lambda: [[document]])

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
        turn, rules = self._season(connection, event), event.data.rules
        kept.define_award(connection, turn.season, rules, at=event.position)
        changed = self._put(turn, rules, kept.results(connection, turn.state.shows))
        kept.turned(connection, turn.season, rules.award, event, changed)

    def _award_dropped(self, connection: Connection, event: RecordedEvent) -> None:
        assert isinstance(event.data, happened.AwardDropped)  # noqa: S101 - as above
        turn, award = self._season(connection, event), event.data.award
        kept.end_award(connection, turn.season, award, at=event.position)
        changed = lines.end_all(connection, turn.season, award, at=event.position)
        kept.turned(connection, turn.season, award, event, changed)

    def _show_moved(self, connection: Connection, event: RecordedEvent) -> None:
        assert isinstance(event.data, happened.ShowCounted | happened.ShowDropped)  # noqa: S101
        turn, shows = self._season(connection, event), [event.data.show]
        every = turn.state.awards.values()
        self._reckon(turn, every, lambda: kept.results(connection, shows))

    def _class_moved(self, connection: Connection, event: RecordedEvent) -> None:
        assert isinstance(event.data, happened.ClassLeftOut | happened.ClassPutBack)  # noqa: S101
        turn, class_id = self._season(connection, event), event.data.class_id
        self._reckon(
            turn,
            turn.state.awards.values(),
            lambda: kept.results(connection, turn.state.shows, class_id=class_id),
        )

    def _member_moved(self, connection: Connection, event: RecordedEvent) -> None:
        assert isinstance(event.data, happened.MemberEnrolled | happened.MemberStruckOff)  # noqa: S101
        turn, member = self._season(connection, event), event.data.member
        self._reckon(
            turn,
            [rules for rules in turn.state.awards.values() if rules.members_only],
            lambda: kept.results(connection, turn.state.shows, member=member),
        )

    # --- what comes of it -------------------------------------------------------------------------

    def _season(self, connection: Connection, event: RecordedEvent) -> _Turn:
        """The season as one of its own events has left it."""
        season = split_stream(event.stream)[1]
        kept.mark_season(connection, season, event.version)
        return self._turn(connection, event, season, event.version)

    def _turn(
        self, connection: Connection, event: RecordedEvent, season: str, version: int
    ) -> _Turn:
        return _Turn(connection, event, season, self._state(season, version))

    def _reckon(self, turn: _Turn, awards: Iterable[AwardRules], documents: Documents) -> None:
        for rules in awards:
            changed = self._put(turn, rules, documents())
            if changed != NOTHING:
                kept.turned(turn.connection, turn.season, rules.award, turn.event, changed)

    def _put(self, turn: _Turn, rules: AwardRules, pages: Pages) -> Changed:
        table = self._desk.points.kept_under(rules.points.digest)
        changed = NOTHING
        for page in pages:
            earned = [each for of in page for each in earned_lines(of, turn.state, rules, table)]
            classes = [of.class_id for of in page]
            changed += lines.put(
                turn.connection,
                turn.season,
                rules.award,
                classes,
                earned,
                at=turn.event.position,
            )
        return changed

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
