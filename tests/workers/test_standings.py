"""Standings follow the log: as of any moment, the same when made anew, moved by corrections."""

from collections.abc import Callable
from datetime import date
from random import Random

import pytest
from sqlalchemy import Table, text

from events.catalogue import ALL_EVENTS
from events.envelope import stream_of
from events.judged_class import commands as ask_class
from events.judged_class.events import ResultsMadeOfficial
from events.refusals import Refusal
from events.season import commands as ask_season
from events.show import commands as ask_show
from service.desk import shows
from service.desk import standings as read
from service.desk.desk import Desk
from service.store import standing_tables
from service.store.followers import mark
from service.store.standings import of_show, tag
from service.workers.follow import rebuild
from tests.workers.both import ON_BOTH
from tests.workers.federation import (
    HIGH_POINT,
    SEASON,
    Federation,
    expected,
    expected_of_show,
)
from tests.workers.office import SHOW, Office

MADE = (
    "season_mark", "class_result", "class_result_member", "season_award", "earned_line",
    "standing_turn",
)  # fmt: skip


@pytest.fixture
def federation(desk: Desk) -> Federation:
    """A federation whose season counts the office's show."""
    found = Federation(desk)
    found.open_season(SHOW)
    return found


def whole(desk: Desk) -> dict[str, list[tuple[object, ...]]]:
    """Every row that the follower made."""
    with desk.database.reading() as connection:
        return {
            name: sorted(tuple(row) for row in connection.execute(text(f"SELECT * FROM {name}")))
            for name in MADE
        }


def test_every_table_of_the_follower_is_looked_at_here() -> None:
    tables = {
        each.name
        for each in vars(standing_tables).values()
        if isinstance(each, Table) and each.name not in {"points_table", "registry_turn"}
    }
    assert set(MADE) == tables


def test_it_says_of_every_event_whether_anything_follows(desk: Desk) -> None:
    assert set(Federation(desk).follower.handlers) == set(ALL_EVENTS)


@ON_BOTH
def test_official_results_earn_points_in_every_award_that_counts_them(
    federation: Federation, office: Office
) -> None:
    federation.define()
    federation.define("horses", "one-per-entry-beaten", carrier="horse")
    office.publish("c-1")
    federation.follow()
    # 71.5, 70 and 70: first, and a shared second: 7, and (5 + 4) / 2 each; of three, 2 + 1, and
    # (1 + 0) / 2 each.
    assert federation.points() == {"p-1": 7, "p-2": 4.5, "p-3": 4.5}
    assert federation.points("horses") == {"h-1": 3, "h-2": 0.5, "h-3": 0.5}


def test_an_award_that_is_defined_late_counts_what_was_official_before(
    federation: Federation, office: Office
) -> None:
    office.publish("c-1")
    federation.follow()
    federation.define()
    federation.follow()
    assert federation.points() == {"p-1": 7, "p-2": 4.5, "p-3": 4.5}


def test_a_reopened_class_keeps_its_last_official_lines_until_it_is_official_again(
    desk: Desk, federation: Federation, office: Office
) -> None:
    federation.define()
    office.publish("c-1")
    federation.follow()
    before = federation.rows()
    reopen = ask_class.ReopenResults(authority="office_error", reason="A mark was typed wrongly.")
    office.do("c-1", reopen)
    federation.follow()
    assert federation.rows() == before
    assert mark(desk.database, "standings").position == desk.log.head().position


@ON_BOTH
def test_a_correction_moves_standings_by_itself_and_the_change_is_listed(
    desk: Desk, federation: Federation, office: Office
) -> None:
    federation.define()
    office.publish("c-1")
    federation.follow()
    before = desk.log.head().position
    office.correct("c-1", mark=6)  # the second entry has 73 now, and wins
    federation.follow()
    assert federation.points() == {"p-2": 7, "p-1": 5, "p-3": 4}
    assert federation.points(as_of=before) == {"p-1": 7, "p-2": 4.5, "p-3": 4.5}
    found = read.moves(
        desk, federation.caller(), SEASON, HIGH_POINT, earlier=before, later=None, limit=50
    )
    assert [
        (
            move.carrier,
            move.before and (move.before.place, float(move.before.points)),
            move.after and (move.after.place, float(move.after.points)),
        )
        for move in found.moves
    ] == [("p-2", (2, 4.5), (1, 7)), ("p-1", (1, 7), (2, 5)), ("p-3", (2, 4.5), (3, 4))]
    (line,) = found.moves[0].lines
    assert line.before is not None
    assert line.after is not None
    assert (line.before.line.revision, line.after.line.revision) == (1, 2)
    last = read.changes(desk, federation.caller(), SEASON, after=(before, HIGH_POINT), limit=50)
    (change,) = last.changes
    assert (change.turn.opened, change.turn.closed) == (3, 3)
    assert change.by.stream == "class-c-1"
    assert change.turn.position == line.after.line.position == desk.log.head().position


@ON_BOTH
def test_what_is_the_same_stays_in_force_and_what_is_not_is_ended(
    desk: Desk, federation: Federation, office: Office
) -> None:
    federation.define()
    office.publish("c-1")
    federation.follow()
    federation.do(ask_season.EnrolMember(member="p-1", since=date(2026, 1, 1)))
    federation.do(ask_season.LeaveOutClass(class_id="c-1", reason="It was a trial."))
    federation.do(ask_season.PutClassBack(class_id="c-1", reason="It was none."))
    federation.follow()
    turns = read.changes(desk, federation.caller(), SEASON, after=(0, ""), limit=50).changes
    assert [(each.turn.opened, each.turn.closed) for each in turns] == [
        (0, 0),
        (3, 0),
        (0, 3),
        (3, 0),
    ]
    lines = whole(desk)["earned_line"]
    assert len(lines) == 6


# --- against the log itself -----------------------------------------------------------------------

TABLES = ("ihsa-individual", "one-per-entry-beaten", "gchsc-high-point", "amha-world-awards")


class Story:
    """A season in which anything may happen next."""

    def __init__(self, federation: Federation, office: Office, seed: int) -> None:
        self.federation = federation
        self.office = office
        self.dice = Random(seed)
        self.classes = ["c-1"]
        self.official: list[str] = []
        self.marks: dict[str, int] = {}

    def tell(self, length: int) -> None:
        """So many steps, each of which is taken if it is allowed."""
        self.federation.define("members", carrier="pair", members_only=True)
        for _ in range(length):
            self.dice.choice(self.steps)(self)

    def one_more_class(self) -> None:
        name = f"c-{len(self.classes) + 1}"
        self.office.ride_class(name, seats=self.dice.choice(("A", "AB")))
        self.classes.append(name)

    def publish(self) -> None:
        waiting = [each for each in self.classes if each not in self.official]
        if waiting:
            self.official.append(self.dice.choice(waiting))
            self.office.publish(self.official[-1])

    def correct(self) -> None:
        if self.official:
            name = self.dice.choice(self.official)
            self.marks[name] = 1 + self.marks.get(name, 0) % 6
            self.office.correct(name, mark=self.marks[name])

    def define(self) -> None:
        self.federation.define(
            self.dice.choice(("high-point", "horses")),
            self.dice.choice(TABLES),
            carrier=self.dice.choice(("rider", "horse", "pair")),
            best_of=self.dice.choice((None, 1, 2)),
            minimum_shows=self.dice.choice((0, 1, 2)),
            ties=("most_placings",),
            reason="It was agreed so.",
        )

    def drop(self) -> None:
        award = self.dice.choice(("high-point", "horses", "horses"))
        self.federation.do(ask_season.DropAward(award=award, reason="Nobody wants it."))

    def show(self) -> None:
        counts = self.dice.random() < 0.7
        drop = ask_season.DropShow(show=SHOW, reason="It was no show of ours.")
        self.federation.do(ask_season.CountShow(show=SHOW) if counts else drop)

    def class_(self) -> None:
        name = self.dice.choice(self.classes)
        season = self.office.desk.seasons.latest(stream_of("season", SEASON)).state
        if SHOW in season.shows and self.dice.random() < 0.5:
            self.federation.do(ask_season.LeaveOutClass(class_id=name, reason="A trial."))
        else:
            self.federation.do(ask_season.PutClassBack(class_id=name, reason="No trial."))

    def member(self) -> None:
        member = self.dice.choice(("p-1", "p-2", "h-1", "h-2"))
        self.federation.do(
            self.dice.choice(
                (
                    ask_season.EnrolMember(member=member, since=date(2026, 1, 1)),
                    ask_season.StrikeOffMember(member=member, reason="Another of that name."),
                )
            )
        )

    def define_at_the_show(self) -> None:
        self.office.define_award(
            self.dice.choice(("show-high-point", "show-horses")),
            self.dice.choice(TABLES),
            carrier=self.dice.choice(("rider", "horse", "pair")),
            reason="It was agreed so.",
        )

    def drop_at_the_show(self) -> None:
        drop = ask_show.DropAward(award="show-horses", reason="Nobody wants it.")
        shows.carry_out(self.office.desk, self.office.ask(), SHOW, drop)

    def toss(self) -> None:
        self.federation.follow()
        award = self.dice.choice(("show-high-point", "show-horses"))
        self.office.toss(award, "The steward tossed it.")

    def follow(self) -> None:
        self.federation.follow(batch=self.dice.choice((1, 4, 500)))

    steps: tuple[Callable[["Story"], None], ...] = (
        one_more_class, publish, publish, correct, define, define, drop, show, show, class_, member,
        member, follow, define_at_the_show, define_at_the_show, drop_at_the_show, toss, toss,
    )  # fmt: skip


@ON_BOTH
@pytest.mark.parametrize("seed", [2, 3, 8])
def test_standings_as_of_every_position_are_what_the_log_up_to_there_comes_to(
    desk: Desk, federation: Federation, office: Office, seed: int
) -> None:
    Story(federation, office, seed).tell(80)
    federation.follow()
    told = settled = 0
    moving = [
        each.position
        for each in desk.log.feed(0, 10_000)
        if each.stream.startswith(("season-", "show-"))
        or isinstance(each.data, ResultsMadeOfficial)
    ]
    for position in sorted({0, *moving, *(each - 1 for each in moving), desk.log.head().position}):
        for award in ("high-point", "horses", "members"):
            wanted = expected(desk, SEASON, award, position)
            if wanted is None:
                with pytest.raises(Refusal, match="has no award"):
                    federation.rows(award, position)
            else:
                assert federation.rows(award, position) == wanted, (award, position)
                told += bool(wanted)
        for award in ("show-high-point", "show-horses"):
            wanted = expected_of_show(desk, SHOW, award, position)
            owner = of_show(SHOW)
            at = tag(desk.database, owner, award, at=position).position
            found = desk.standings.at(owner, award, at)
            assert (found and found.rows) == wanted, (award, position)
            settled += any(row.settled for row in wanted or ())
    assert told > 30
    assert settled


@ON_BOTH
@pytest.mark.parametrize("seed", [4, 5])
def test_rows_that_are_made_anew_are_those_that_were_made_live(
    desk: Desk, federation: Federation, office: Office, seed: int
) -> None:
    Story(federation, office, seed).tell(40)
    federation.follow()
    live = whole(desk)
    assert all(live.values())
    rebuild(desk.database, federation.follower, now=desk.clock())
    assert not any(whole(desk).values())
    another = Federation(desk)  # one that remembers nothing
    another.follow(batch=7)
    assert whole(desk) == live
    rebuild(desk.database, federation.follower, now=desk.clock())
    federation.follow()  # one that remembers how it all ended
    assert whole(desk) == live
