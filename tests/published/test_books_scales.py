"""The scales of the shipped rule books against the publications that print them."""

from typing import NamedTuple

import pytest

from events.half_points import to_number
from events.rulebook.model import MarkRange
from service.books import shipped_book

EXT_WH = "eXtension Horses, Judging Horse Events: Western Horsemanship"
EXT_WR = "eXtension Horses, Judging Horse Events: Western Riding"
EXT_HS15 = "eXtension Horses, Judging Horse Events: Hunt Seat Equitation, version of 2015"
SHOWMANSHIP_CARDS = "study cards on showmanship (Brainscape pack 22602992)"
AQHA_454 = "American Quarter Horse Association rule 454, as printed by the Norwegian breed body"
AQHA_471 = "American Quarter Horse Association rule 471, as printed by the Norwegian breed body"
AUSTRALIAN = "AQHA 2015 Rule Book (Australian Quarter Horse Association), p. 136"
NRHA_B1 = "National Reining Horse Association, Rules for Judging, B(1)"
WSCA = "Western Saddle Clubs Association, championship show edition of 2023, p. 8"
FROM_MEMORY = "from memory"


class Scale(NamedTuple):
    book: str
    base: float
    floor: float | None
    ceiling: float | None
    source: str


class Marks(NamedTuple):
    book: str
    lowest: float
    highest: float
    step: float
    source: str


# "70 = average, 0 to infinity" has no ceiling; "0-100" has both bounds.
SCALES = [
    Scale("western-horsemanship", 70, 0, None, EXT_WH),
    Scale("showmanship-at-halter", 70, 0, None, SHOWMANSHIP_CARDS),
    Scale("hunt-seat-equitation-flat", 70, 0, None, FROM_MEMORY),
    Scale("trail", 70, 0, None, AQHA_454),
    Scale("western-riding", 70, 0, 100, EXT_WR),
    Scale("reining", 70, 0, None, NRHA_B1),
    Scale("ranch-riding", 70, 0, 100, WSCA),  # the bounds; its base of 70 is from memory
    Scale("equitation-hundred", 70, 0, 100, AUSTRALIAN),
    Scale("equitation-hundred", 70, 0, 100, EXT_HS15),
    Scale("showmanship-twenty", 0, 0, 20, AQHA_471),
]
MARKS = [
    Marks("western-horsemanship", -3, 3, 0.5, EXT_WH),
    Marks("showmanship-at-halter", -3, 3, 0.5, SHOWMANSHIP_CARDS),
    Marks("hunt-seat-equitation-flat", -3, 3, 0.5, FROM_MEMORY),
    Marks("trail", -1.5, 1.5, 0.5, AQHA_454),
    Marks("western-riding", -1.5, 1.5, 0.5, EXT_WR),
    Marks("reining", -1.5, 1.5, 0.5, NRHA_B1),
    Marks("ranch-riding", -1.5, 1.5, 0.5, WSCA),
    # Ten points for appearance and ten for performance, by half points.
    Marks("showmanship-twenty", 0, 10, 0.5, AQHA_471),
]
# The seven words, worst first.
WORDS = ["extremely poor", "very poor", "poor", "correct", "good", "very good", "excellent"]
WORDED = [
    ("western-horsemanship", [-3, -2, -1, 0, 1, 2, 3], EXT_WH),
    ("showmanship-at-halter", [-3, -2, -1, 0, 1, 2, 3], FROM_MEMORY),
    ("hunt-seat-equitation-flat", [-3, -2, -1, 0, 1, 2, 3], FROM_MEMORY),
    ("trail", [-1.5, -1, -0.5, 0, 0.5, 1, 1.5], AQHA_454),
    ("western-riding", [-1.5, -1, -0.5, 0, 0.5, 1, 1.5], EXT_WR),
    ("reining", [-1.5, -1, -0.5, 0, 0.5, 1, 1.5], "rule 481"),  # as quoted in 2017, secondary
    ("ranch-riding", [-1.5, -1, -0.5, 0, 0.5, 1, 1.5], WSCA),
]


@pytest.mark.parametrize("published", SCALES, ids=lambda scale: f"{scale.book}-{scale.source}")
def test_a_score_starts_and_is_bounded_as_published(published: Scale) -> None:
    scale = shipped_book(published.book).scale
    assert scale.base == 2 * published.base
    assert scale.floor == _half(published.floor)
    assert scale.ceiling == _half(published.ceiling)
    assert published.source in scale.source


@pytest.mark.parametrize("published", MARKS, ids=lambda marks: marks.book)
def test_the_marks_for_a_maneuver_are_as_published(published: Marks) -> None:
    marks = shipped_book(published.book).scale.mark
    assert (to_number(marks.lowest), to_number(marks.highest)) == published[1:3]
    assert to_number(marks.step) == published.step
    assert published.source in marks.source


@pytest.mark.parametrize(("book", "marks", "source"), WORDED)
def test_the_marks_have_the_published_words(book: str, marks: list[float], source: str) -> None:
    published = shipped_book(book).scale.mark
    assert _words(published) == dict(zip(marks, WORDS, strict=True))
    assert source in published.source


def test_a_reining_maneuver_marked_nought_is_correct() -> None:
    # NRHA, Rules for Judging, B(1): nought is a correct maneuver without difficulty.
    assert shipped_book("reining").scale.mark.word_for(0) == "correct"


@pytest.mark.parametrize(
    ("book", "source"),
    [
        ("western-horsemanship", "common practice"),
        ("showmanship-at-halter", FROM_MEMORY),
        ("hunt-seat-equitation-flat", FROM_MEMORY),
    ],
)
def test_form_and_effectiveness_runs_from_0_to_5(book: str, source: str) -> None:
    # Common practice: 0 to 2 average, 3 good, 4 very good, 5 excellent; never below nought.
    rider = shipped_book(book).scale.rider_mark
    assert rider is not None
    assert rider.name == "Form and effectiveness"
    assert (rider.lowest, rider.highest) == (0, 10)
    spoken = [rider.word_for(2 * mark) for mark in range(6)]
    assert spoken == ["average", "average", "average", "good", "very good", "excellent"]
    assert rider.source == source


@pytest.mark.parametrize(
    "book",
    # The lists that were read name no rider mark: AQHA 454 for trail, eXtension Horses for western
    # riding, NRHA B(1) for reining, WSCA 2023 for ranch riding, and the two older scales.
    [
        "trail",
        "western-riding",
        "reining",
        "ranch-riding",
        "equitation-hundred",
        "showmanship-twenty",
    ],
)
def test_a_book_without_form_and_effectiveness_has_no_rider_mark(book: str) -> None:
    assert shipped_book(book).scale.rider_mark is None


# AQHA 2015 Rule Book (Australian Quarter Horse Association), p. 136 (and p. 124 for showmanship).
@pytest.mark.parametrize(
    ("lowest", "highest", "band"),
    [
        (90, 100, "excellent"),
        (80, 89.5, "very good"),
        (70, 79.5, "good pattern, average rider"),
        (60, 69.5, "fair"),
        (50, 59.5, "one major fault, or several minor"),
        (40, 49.5, "severe fault, or two major faults"),
        (10, 39.5, "several severe or major faults"),
        (0, 9.5, None),
    ],
)
def test_the_older_equitation_scale_has_the_published_bands(
    lowest: float, highest: float, band: str | None
) -> None:
    scale = shipped_book("equitation-hundred").scale
    assert scale.band_for(int(lowest * 2)) == band
    assert scale.band_for(int(highest * 2)) == band


def test_the_older_equitation_scale_notes_plus_check_and_minus() -> None:
    # The same page: + above average, check average, - below average.
    marks = shipped_book("equitation-hundred").scale.mark
    spoken = [marks.word_for(half) for half in (-2, 0, 2)]
    assert spoken == ["minus: below average", "check: average", "plus: above average"]


def test_two_parts_of_ten_make_the_whole_older_showmanship_scale() -> None:
    # AQHA rule 471 (Norwegian print): ten points for appearance and ten for performance.
    scale = shipped_book("showmanship-twenty").scale
    assert scale.base + 2 * scale.mark.highest == scale.ceiling == 40


def _half(points: float | None) -> int | None:
    return None if points is None else int(points * 2)


def _words(marks: MarkRange) -> dict[float, str]:
    return {to_number(entry.mark): entry.word for entry in marks.words}
