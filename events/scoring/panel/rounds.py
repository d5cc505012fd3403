"""A class of several rounds combined by the Skating System, rules 9 to 11.

A. Dawson, The Skating System. Rules 9 and 11 as explained at dancesportlive.com, How to judge,
Skating System, page 4; the detail of rule 10, the return to it for those still tied, and the
sharing of places inside a round are from memory. An entry without a place in any round takes none
(our rule), since it has not done what the total adds up.
"""

from collections.abc import Sequence
from fractions import Fraction
from itertools import groupby

import msgspec

from events.scoring.exact import ordinal, to_words
from events.scoring.held_places import held_places
from events.scoring.panel.cards import PanelUnfit, SeatCard, running
from events.scoring.panel.majority import Marks, last_place, majority, majority_steps
from events.scoring.panel.ranking import Combined
from events.scoring.panel.step import Step


class _Results(msgspec.Struct, frozen=True):
    """One entry's place in each round, and its marks from every judge in every round."""

    places: tuple[Fraction, ...]
    marks: Marks


def majority_of_rounds(rounds: Sequence[Sequence[SeatCard]]) -> tuple[Combined, ...]:
    """The placing over all rounds, each placed by ``majority``.

    Rule 9: the places of the rounds are added, the lowest sum comes first. Rule 10: of equal sums,
    whoever has the place under review "or better" in most rounds, then the lower sum of these.
    Rule 11: then all marks of all rounds count as those of one round. ``PanelUnfit`` unless every
    round has the same entries. ``figure`` is the sum of places.
    """
    entries = {running(cards) for cards in rounds}
    if len(entries) != 1:
        raise PanelUnfit("rounds", "Every round of a final has the same entries, and there is one.")
    (names,) = entries
    placed = [_places(cards) for cards in rounds]
    results = {
        entry: _Results(
            places=tuple(places[entry] for places in placed),
            marks=tuple(card.lines[entry].place for cards in rounds for card in cards),
        )
        for entry in names
        if all(entry in places for places in placed)
    }
    unplaced = (_row(entry, None, None, ()) for entry in names if entry not in results)
    return (*_numbered(results), *unplaced)


def _places(cards: Sequence[SeatCard]) -> dict[str, Fraction]:
    """The places in one round; those that are shared count as the mean of what they hold."""
    places = {row.entry: row.place for row in majority(cards) if row.place is not None}
    return {
        entry: Fraction(sum(held.places), len(held.places))
        for held in held_places(places)
        for entry in held.entries
    }


def _numbered(results: dict[str, _Results]) -> list[Combined]:
    def total(entry: str) -> Fraction:
        return sum(results[entry].places, Fraction(0))

    rows: list[Combined] = []
    last = last_place([result.marks for result in results.values()])
    for _, group in groupby(sorted(results, key=lambda e: (total(e), e)), key=total):
        waiting = list(group)
        parted: Step | None = None
        while waiting:
            position = len(rows) + 1
            ladders = {
                entry: _ladder(results[entry], total(entry), position, last) for entry in waiting
            }
            first, parted = _first(ladders, parted)
            rows.extend(_row(e, position, parted, ladders[e], tied=len(first) > 1) for e in first)
            waiting = [entry for entry in waiting if entry not in first]
    return rows


def _ladder(result: _Results, total: Fraction, position: int, last: int) -> tuple[Step, ...]:
    """What an entry is compared by when ``position`` is under review."""
    better = [place for place in result.places if place <= position]
    named = f"{ordinal(position)} or better"
    return (
        Step(name="figure", key=total, says=f"Places added: {to_words(total)}."),
        Step(
            name="best_rounds",
            key=-Fraction(len(better)),
            says=f"{named} in {len(better)} of {len(result.places)} rounds.",
        ),
        Step(
            name="best_rounds",
            key=sum(better, Fraction(0)),
            says=f"Rounds that are {named} add up to {to_words(sum(better, Fraction(0)))}.",
        ),
        *(
            msgspec.structs.replace(step, name="all_rounds")
            for step in majority_steps(result.marks, range(position, max(last, position) + 1))
        ),
    )


def _first(
    ladders: dict[str, tuple[Step, ...]], before: Step | None
) -> tuple[list[str], Step | None]:
    """Who takes the place under review, and the step that parted them from the others.

    The last to be placed were parted by what placed those ``before`` them.
    """

    def keys(entry: str) -> tuple[Fraction, ...]:
        return tuple(step.key for step in ladders[entry])

    ranked = sorted(ladders, key=lambda entry: (keys(entry), entry))
    first = [entry for entry in ranked if keys(entry) == keys(ranked[0])]
    if len(first) == len(ranked):
        return first, before
    pairs = zip(ladders[first[0]], ladders[ranked[len(first)]], strict=False)
    return first, next(one for one, other in pairs if one.key != other.key)


def _row(
    entry: str,
    place: int | None,
    parted: Step | None,
    steps: tuple[Step, ...],
    *,
    tied: bool = False,
) -> Combined:
    return Combined(
        entry=entry,
        place=place,
        tied=tied,
        figure=steps[0].key if steps else None,
        parted_by=parted.name if parted else None,
        seats=(),
        steps=steps,
    )
