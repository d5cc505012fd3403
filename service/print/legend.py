"""What a judge reads beside the card: how the rule book scores, in its own words."""

from collections.abc import Iterator

import msgspec

from events.half_points import to_text
from events.rulebook.model import MarkRange, RuleBook
from service.print.words import outcome_words, points


class Legend(msgspec.Struct, frozen=True, kw_only=True):
    """One part of what the book says: a heading, and lines that each have a key."""

    title: str
    lines: tuple[tuple[str, str], ...]


def legends(book: RuleBook) -> tuple[tuple[Legend, ...], ...]:
    """All that the book prices, names and has words for, side by side in three columns."""
    rider, scored = book.scale.rider_mark, book.judging == "scored"
    columns = (
        (
            Legend(title="Penalty points, for each occurrence", lines=tuple(_penalties(book))),
            Legend(title="Highest mark", lines=tuple(_caps(book))),
        ),
        (Legend(title="Instead of a score", lines=tuple(_outcomes(book))),),
        (
            *((_range("Marks", book.scale.mark, signed=True),) if scored else ()),
            *((_range(rider.name, rider),) if rider else ()),
            Legend(title="Totals", lines=tuple(_bands(book))),
        ),
    )
    return tuple(tuple(part for part in column if part.lines) for column in columns)


def sum_words(book: RuleBook) -> str:
    """How a total comes about, as one sentence."""
    match book.judging:
        case "placed":
            return "Placed by the judge, best first; no marks are given."
        case "timed":
            return "By the clock: the time and its penalty seconds, least first."
        case _:
            rider = book.scale.rider_mark
            name = f" + {rider.name.lower()}" if rider else ""
            return (
                f"Total = {points(book.scale.base)} + marks{name} \u2212 penalty points. "
                "Marks and penalties are independent of each other."
            )


def _penalties(book: RuleBook) -> Iterator[tuple[str, str]]:
    for rule in sorted(book.penalties, key=lambda each: each.points):
        yield points(rule.points), f"{rule.wording} ({rule.code})"
    for graded in book.graded_penalties:
        key = f"{points(graded.lowest)} to {points(graded.highest)}"
        yield key, f"{graded.wording} ({graded.code}), by {to_text(graded.step)}"


def _caps(book: RuleBook) -> Iterator[tuple[str, str]]:
    for cap in book.caps:
        yield points(cap.highest, signed=True), f"{cap.wording} ({cap.code})"


def _outcomes(book: RuleBook) -> Iterator[tuple[str, str]]:
    for rule in book.outcomes:
        yield outcome_words(rule.kind), rule.wording


def _bands(book: RuleBook) -> Iterator[tuple[str, str]]:
    for band in sorted(book.scale.bands, key=lambda each: -each.lowest):
        yield f"from {points(band.lowest)}", band.word


def _range(name: str, of: MarkRange, *, signed: bool = False) -> Legend:
    low, high = points(of.lowest, signed=signed), points(of.highest, signed=signed)
    words = sorted(of.words, key=lambda each: -each.mark)
    return Legend(
        title=f"{name}: {low} to {high} by {to_text(of.step)}",
        lines=tuple((points(each.mark, signed=signed), each.word) for each in words),
    )
