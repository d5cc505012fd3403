"""Tells a class of the demo from its log, as a show secretary would."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime, tzinfo
from textwrap import wrap
from typing import NamedTuple

from events.envelope import RecordedEvent, stream_of
from events.projections.history import History
from events.projections.placing import cautions, placing
from events.projections.what_if import what_if
from service.demo.asking import penalty_at
from service.demo.happenings import AskWhatIf, Look
from service.demo.player import TurnedAway
from service.demo.programme import Planned
from service.demo.scenario import ClassStory, ShowStory
from service.demo.sentences import Speaker
from service.demo.tables import tables, what_if_table
from service.desk.caller import Caller
from service.desk.desk import Desk
from service.desk.story import story as read_story

WIDTH = 100
_LOG_IN_ONE = 10_000
_HANG = " " * 9


class _Told(NamedTuple):
    """Something that is told, and when it happened."""

    at: datetime
    lines: tuple[str, ...]


def opening(show: ShowStory, classes: Sequence[Planned]) -> Iterator[str]:
    """What is said before the show is played."""
    plan = show.plan
    days = len({each.story.begins.date() for each in classes})
    rings = len({each.story.ring for each in classes})
    yield f"{plan.name}, {plan.place}, {plan.first_day:%-d} to {plan.last_day:%-d %B %Y}"
    yield from wrap(
        f"An invented show: {len(classes)} classes on {days} days in "
        f"{rings} {'ring' if rings == 1 else 'rings'}; "
        "nobody in it, no horse and no place is real. Every entry, mark and ruling goes through "
        "the same door as over HTTP. What follows is read back from the log; times are the "
        "show's own, as its tablets tell them, and the log holds the server's time beside each.",
        WIDTH,
    )
    yield ""


def tell(
    desk: Desk, office: Caller, show: ShowStory, story: ClassStory, refused: Sequence[TurnedAway]
) -> Iterator[str]:
    """The lines that tell a class: its heading, and what happened in it."""
    teller = _Teller(desk, office, show, story)
    yield from teller.heading()
    for told in sorted(teller.told(refused), key=lambda each: each.at):
        yield from told.lines


class _Teller:
    def __init__(self, desk: Desk, office: Caller, show: ShowStory, story: ClassStory) -> None:
        page = read_story(desk, office, story.id, after=0, limit=_LOG_IN_ONE)
        state = desk.classes.latest(stream_of("class", story.id)).state
        assert state.scheduled is not None  # noqa: S101 - its log was read
        self.story = story
        self.history = History(page.events)
        self.book = desk.books.held_to(state.scheduled.rulebook)
        self.speaker = Speaker(page.events, state, self.book, page.names)
        self.show = show
        self.zone: tzinfo | None = show.moment(story.begins).tzinfo

    def heading(self) -> Iterator[str]:
        """Which class it is, under whom, and how it was drawn."""
        story, names = self.story, self.speaker.names
        judges = " and ".join(names.person(judge) for judge in story.judges.values())
        yield f"Class {story.number}, {story.name}"
        yield from _wrapped(
            f"{story.begins:%A %-d %B, %H:%M}, {story.ring}. Judged by {judges}. "
            f'{len(story.entries)} entries, drawn by lot from the seed "{story.seed}".',
            "  ",
        )

    def told(self, refused: Iterable[TurnedAway]) -> Iterator[_Told]:
        """Everything worth telling."""
        for event in self.history.events:
            yield from self._event(event)
        for away in refused:
            said = self.speaker.protest(away.what.filed_by, away.what.ground, away.what.statement)
            yield self._line(away.at, f"{said} It is not taken in: {away.said}")
        for happening in self.story.then:
            at = self.show.moment(self.story.begins, happening.at)
            if isinstance(happening, Look):
                yield self._look(at, happening)
            elif isinstance(happening, AskWhatIf):
                yield self._asked(at, happening)

    def table(self, version: int) -> Iterator[str]:
        """The placing at a version."""
        of = placing(self.history.at_version(version), self.book)
        for line in tables(of, self.speaker):
            yield from _wrapped(line, _HANG)

    def _event(self, event: RecordedEvent) -> Iterator[_Told]:
        sentence = self.speaker.sentence(event)
        if sentence is not None:
            yield self._line(event.occurred_at, sentence)

    def _look(self, at: datetime, look: Look) -> _Told:
        version = self._version_at(at)
        if look.briefly:
            of = placing(self.history.at_version(version), self.book)
            return self._line(at, f"{look.says}: {' '.join(each.says for each in cautions(of))}")
        heading = self._line(at, f"{look.says} (version {version}):").lines
        return _Told(at, ("", *heading, *self.table(version), ""))

    def _asked(self, at: datetime, asked: AskWhatIf) -> _Told:
        version = self._version_at(at)
        struck = penalty_at(
            self.history.at_version(version), asked.seat, asked.back, asked.maneuver
        ).version
        before = History(self.history.events[:version])
        effect = what_if(before, self.book, strike=[struck])
        heading = self._line(at, f"The steward asks: {asked.says} (event {struck})").lines
        pairs = zip(effect.before.seats, effect.after.seats, strict=True)
        rows = [
            f"{_HANG}{line}"
            for now, then in pairs
            for line in what_if_table(now, then, self.speaker)
        ]
        return _Told(at, ("", *heading, *rows, f"{_HANG}Nothing of this is recorded.", ""))

    def _version_at(self, at: datetime) -> int:
        """The version of the last event that had happened by then."""
        happened_by = [event.version for event in self.history.events if event.occurred_at <= at]
        return max(happened_by)

    def _line(self, at: datetime, sentence: str) -> _Told:
        return _Told(at, tuple(_wrapped(sentence, f"  {at.astimezone(self.zone):%H:%M}  ")))


def _wrapped(text: str, begins: str) -> list[str]:
    """The text in lines that fit, unless it fits already; the first one after ``begins``."""
    if len(begins + text) <= WIDTH:
        return [begins + text]
    hang = " " * len(begins)
    return wrap(text, WIDTH, initial_indent=begins, subsequent_indent=hang)
