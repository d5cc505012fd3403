"""From official results to what they earned in an award of a season or of a show."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from fractions import Fraction
from typing import Literal

import msgspec

from events.awards.counting import Counting
from events.awards.rules import AwardRules, Carrier, Category
from events.half_points import HalfPoints
from events.projections.result import (
    PanelResultPart,
    ResultDocument,
    ResultEntry,
    ResultRow,
    SeatResult,
)
from events.rulebook.model import OutcomeKind
from events.scoring.points.award import (
    Entrant,
    SizeUnfit,
    award,
    is_shown,
    outcome_together,
    size_of_class,
)
from events.scoring.points.model import PointsTable

Title = Literal["grand", "reserve"]
PAIRED = "+"
"""Stands between the ids of a rider and a horse that carry points as a pair."""


class EarnedLine(msgspec.Struct, frozen=True, kw_only=True):
    """What one official line of one judge, or of the panel, earned for its carrier.

    It says where every point comes from: the show, the class, the revision of its results, the
    event that made them official, the entry, its place and by which table. ``seat`` is ``None``
    where the judges placed together, ``division`` where the whole class was placed. ``beaten`` is
    how many entries shown stand behind it. ``total`` is that of the judges together.

    In a class that names champions ``title`` is the one that was won, and ``highest`` and
    ``highest_class`` the points and the class that those of champions come on top of.
    """

    carrier: str
    exhibitor: str
    horse: str | None
    category: str
    show: str
    class_id: str
    class_name: str
    division: str | None
    day: date | None
    revision: int
    version: int
    position: int
    seat: str | None
    judges: tuple[str, ...]
    entry: str
    back_number: int
    place: int | None
    shared_by: int
    outcome: OutcomeKind | None
    total: HalfPoints | None
    class_size: int
    beaten: int
    points: Fraction
    table: str
    title: Title | None = None
    highest: Fraction | None = None
    highest_class: str | None = None

    @property
    def name(self) -> tuple[str, str, str, str]:
        """What names the line within an award, whatever comes of it."""
        return self.class_id, self.division or "", self.seat or "", self.entry


class _Result(msgspec.Struct, frozen=True, kw_only=True):
    """One placing that earns points: a seat's or the panel's, of a class, section or division."""

    division: str | None
    seat: str | None
    judges: tuple[str, ...]
    entrants: tuple[Entrant, ...]
    totals: Mapping[str, HalfPoints | None]


def carrier_of(carrier: Carrier, exhibitor: str, horse: str | None) -> str | None:
    """Who of an entry carries the points; ``None`` when the entry has no horse to carry them."""
    if carrier == "rider":
        return exhibitor
    if horse is None:
        return None
    return horse if carrier == "horse" else f"{exhibitor}{PAIRED}{horse}"


def pair_of(carrier: Carrier, name: str) -> tuple[str | None, str | None]:
    """The rider and the horse that a carrier's name names."""
    rider, _, horse = name.partition(PAIRED)
    return {"rider": (name, None), "horse": (None, name), "pair": (rider, horse)}[carrier]


def earned_lines(
    document: ResultDocument, giver: Counting, rules: AwardRules, table: PointsTable
) -> tuple[EarnedLine, ...]:
    """What every entry shown in a class earned in an award, nought included.

    Each judge's card is a result of its own where the class has separate results, else the panel's
    placing is one. A class that the table says nothing of earns nobody points; nor, for its places,
    does one that names champions.
    """
    if not giver.counts(document.show, document.class_id, document.day):
        return ()
    return tuple(
        line
        for result in _results(document)
        if (category := _category(rules, document, result.division)) is not None
        for line in _lines(document, result, category, rules, table)
        if _belongs(giver, rules, line)
    )


def _category(rules: AwardRules, document: ResultDocument, division: str | None) -> Category | None:
    """The first category that takes a result, so that it counts once."""
    for category in rules.categories:
        if document.class_id in category.champions:
            return None if division else category
    for category in rules.categories:
        fits = not category.rulebooks or document.rulebook.id in category.rulebooks
        fits = fits and (not category.classes or document.class_id in category.classes)
        if fits and (division in category.divisions if division else not category.divisions):
            return category
    return None


def _belongs(giver: Counting, rules: AwardRules, line: EarnedLine) -> bool:
    if not rules.members_only:
        return True
    members = pair_of(rules.carrier, line.carrier)
    return all(giver.belonged(each, line.day) for each in members if each is not None)


def _eligible(rules: AwardRules, entry: ResultEntry) -> bool:
    wanted = rules.eligible_divisions
    return not wanted or any(division in wanted for division in entry.divisions)


def _results(document: ResultDocument) -> Iterator[_Result]:
    """Each section is a class of its own: its size is the size that points go by."""
    for part in document.sections or (document,):
        named = {row.entry for seat in part.seats for row in seat.rows}
        among = [entry for entry in document.entries if entry.entry in named]
        yield from _placings(None, part.seats, part.panel, among)
        for division in part.divisions:
            theirs = [entry for entry in among if division.name in entry.divisions]
            yield from _placings(division.name, division.seats, division.panel, theirs)


def _placings(
    division: str | None,
    seats: Sequence[SeatResult],
    panel: PanelResultPart,
    entries: Sequence[ResultEntry],
) -> Iterator[_Result]:
    cards = {seat.seat: {row.entry: row for row in seat.rows} for seat in seats}
    if panel.method != "separate":
        places = {row.entry: row.place for row in panel.rows}
        rows = {entry.entry: [card[entry.entry] for card in cards.values()] for entry in entries}
        yield _Result(
            division=division,
            seat=None,
            judges=tuple(seat.judge for seat in seats),
            entrants=tuple(
                Entrant(entry=entry, place=places.get(entry), outcome=_outcome(lines))
                for entry, lines in rows.items()
            ),
            totals={entry: _together(lines) for entry, lines in rows.items()},
        )
        return
    for seat in seats:
        yield _Result(
            division=division,
            seat=seat.seat,
            judges=(seat.judge,),
            entrants=tuple(
                Entrant(entry=row.entry, place=row.place, outcome=row.outcome) for row in seat.rows
            ),
            totals={row.entry: row.total for row in seat.rows},
        )


def _outcome(rows: Sequence[ResultRow]) -> OutcomeKind | None:
    return outcome_together([row.outcome for row in rows])


def _together(rows: Sequence[ResultRow]) -> HalfPoints | None:
    totals = [row.total for row in rows if row.total is not None]
    return sum(totals) if rows and len(totals) == len(rows) else None


def _lines(
    document: ResultDocument,
    result: _Result,
    category: Category,
    rules: AwardRules,
    table: PointsTable,
) -> Iterator[EarnedLine]:
    size = size_of_class(table, result.entrants)
    champions = document.class_id in category.champions
    points = {} if champions else _points(table, size, result.entrants)
    sharing = Counter(each.place for each in result.entrants if is_shown(table, each))
    entries = {entry.entry: entry for entry in document.entries}
    for each in result.entrants:
        who = entries[each.entry]
        carrier = carrier_of(rules.carrier, who.exhibitor, who.horse)
        if carrier is None or not is_shown(table, each) or not _eligible(rules, who):
            continue
        shared_by = 1 if each.place is None else sharing[each.place]
        yield EarnedLine(
            carrier=carrier,
            exhibitor=who.exhibitor,
            horse=who.horse,
            category=category.name,
            show=document.show,
            class_id=document.class_id,
            class_name=document.name,
            division=result.division,
            day=document.day,
            revision=document.revision,
            version=document.version,
            position=document.position,
            seat=result.seat,
            judges=result.judges,
            entry=each.entry,
            back_number=who.back_number,
            place=each.place,
            shared_by=shared_by,
            outcome=each.outcome,
            total=result.totals[each.entry],
            class_size=size,
            beaten=0 if each.place is None else max(size - each.place - shared_by + 1, 0),
            points=points.get(each.entry, Fraction(0)),
            table=rules.points.digest,
        )


def _points(table: PointsTable, size: int, entrants: Sequence[Entrant]) -> Mapping[str, Fraction]:
    try:
        return {each.entry: each.points for each in award(table, size, entrants).awards}
    except SizeUnfit:  # the table begins with larger classes
        return {}
