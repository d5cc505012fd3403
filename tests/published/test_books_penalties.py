"""The penalty catalogues of the shipped rule books against the lists that were read.

The wording and the codes are our own; what a fault costs is what is checked.
"""

import pytest

from events.half_points import to_number
from events.rulebook.model import Penalty
from service.books import shipped_book

COMMON_PRACTICE = "common practice"
FROM_MEMORY = "from memory"
SHOWMANSHIP_CARDS = "study cards on showmanship (Brainscape pack 22602992), secondary"
TRAIL_CARDS = "study cards on trail (Brainscape pack 21430027), secondary"
AUSTRALIAN_133 = "AQHA 2015 Rule Book (Australian Quarter Horse Association), p. 133"
AUSTRALIAN_139 = "AQHA 2015 Rule Book (Australian Quarter Horse Association), p. 139"
STOCK_HORSE_NEWS = "From the Judge's Chair, Stock Horse News, August 2021"
WSCA = "Western Saddle Clubs Association, championship show edition of 2023, p. 8"

Cost = tuple[str, float, str]
"""A penalty's code, its points, and who says so."""

# Every size in the catalogue, each once.
SIZES = [
    ("western-horsemanship", [3, 5, 10]),  # common practice; a teaching abstract of 2021
    ("showmanship-at-halter", [3, 5, 10]),  # SHOWMANSHIP_CARDS
    ("hunt-seat-equitation-flat", [3, 5, 10]),  # from memory
    ("trail", [0.5, 1, 3, 5]),  # TRAIL_CARDS
    ("western-riding", [0.5, 1, 3, 5]),  # eXtension Horses, Western Riding
    ("reining", [0.5, 1, 2, 5]),  # from memory
    ("ranch-riding", [1, 3, 5, 10]),  # from memory
    ("equitation-hundred", []),  # AUSTRALIAN_139: the judge chooses
    ("showmanship-twenty", []),  # AQHA rule 471 (Norwegian print): a score for each part
]

WESTERN_HORSEMANSHIP: list[Cost] = [
    ("gait-break-short", 3, COMMON_PRACTICE),  # walk or jog, up to two strides
    ("cone-tick", 3, COMMON_PRACTICE),
    ("stop-late", 5, COMMON_PRACTICE),  # gait or stop not within 10 feet
    ("rein-lost", 10, COMMON_PRACTICE),
    ("saddle-held", 10, COMMON_PRACTICE),  # with either hand
    ("spur-forward", 10, COMMON_PRACTICE),  # in front of the cinch
    ("turn-off-eighth", 3, FROM_MEMORY),
    ("gait-break-long", 5, FROM_MEMORY),
    ("lope-break", 5, FROM_MEMORY),
    ("lead-missed", 5, FROM_MEMORY),
    ("turn-off-quarter", 5, FROM_MEMORY),
    ("stirrup-lost", 5, FROM_MEMORY),
    ("lead-checked", 5, FROM_MEMORY),
    ("head-carriage", 5, FROM_MEMORY),
    ("hand-on-horse", 10, FROM_MEMORY),
    ("romal-cue", 10, FROM_MEMORY),
    ("kick-or-rear", 10, FROM_MEMORY),
]
HUNT_SEAT: list[Cost] = [
    ("trot-break-short", 3, FROM_MEMORY),
    ("cone-tick", 3, FROM_MEMORY),
    ("turn-off-eighth", 3, FROM_MEMORY),
    ("diagonal-short", 3, FROM_MEMORY),
    ("stop-late", 5, FROM_MEMORY),
    ("trot-break-long", 5, FROM_MEMORY),
    ("canter-break", 5, FROM_MEMORY),
    ("lead-missed", 5, FROM_MEMORY),
    ("diagonal-long", 5, FROM_MEMORY),
    ("turn-off-quarter", 5, FROM_MEMORY),
    ("iron-lost", 5, FROM_MEMORY),
    ("lead-checked", 5, FROM_MEMORY),
    ("head-carriage", 5, FROM_MEMORY),
    ("rein-lost", 10, FROM_MEMORY),
    ("saddle-held", 10, FROM_MEMORY),
    ("spur-forward", 10, FROM_MEMORY),
    ("hand-on-horse", 10, FROM_MEMORY),
    ("kick-or-rear", 10, FROM_MEMORY),
]
SHOWMANSHIP: list[Cost] = [
    ("gait-break-short", 3, SHOWMANSHIP_CARDS),  # up to two strides
    ("turn-off-eighth", 3, SHOWMANSHIP_CARDS),
    ("cone-hit", 3, SHOWMANSHIP_CARDS),
    ("pivot-slid", 3, SHOWMANSHIP_CARDS),
    ("pivot-lifted", 3, SHOWMANSHIP_CARDS),  # and set down in the same place
    ("stop-late", 5, SHOWMANSHIP_CARDS),  # more than 10 feet off
    ("cone-split", 5, SHOWMANSHIP_CARDS),
    ("gait-break-long", 5, SHOWMANSHIP_CARDS),  # more than two strides
    ("turn-off-quarter", 5, SHOWMANSHIP_CARDS),
    ("hind-leg-moved", 5, SHOWMANSHIP_CARDS),
    ("set-up-left", 5, SHOWMANSHIP_CARDS),
    ("wrong-quarter", 10, SHOWMANSHIP_CARDS),
    ("horse-touched", 10, SHOWMANSHIP_CARDS),
    ("in-front", 10, SHOWMANSHIP_CARDS),
    ("rear-or-paw", 10, SHOWMANSHIP_CARDS),
]
TRAIL: list[Cost] = [
    ("tick", 0.5, TRAIL_CARDS),
    ("hit", 1, TRAIL_CARDS),
    ("gait-break-short", 1, TRAIL_CARDS),
    ("feet-in-one-space", 1, TRAIL_CARDS),
    ("space-skipped", 1, TRAIL_CARDS),
    ("pole-split", 1, TRAIL_CARDS),
    ("stride-count", 1, TRAIL_CARDS),
    ("gait-break-long", 3, TRAIL_CARDS),
    ("lope-break", 3, TRAIL_CARDS),
    ("knockdown", 3, TRAIL_CARDS),
    ("one-foot-out", 3, TRAIL_CARDS),
    ("one-foot-missed", 3, TRAIL_CARDS),
    ("object-dropped", 5, TRAIL_CARDS),
    ("refusal", 5, TRAIL_CARDS),  # first or second, cumulative
    ("gate-lost", 5, TRAIL_CARDS),
    ("hand-on-horse", 5, TRAIL_CARDS),
    ("feet-out", 5, TRAIL_CARDS),
    ("feet-missed", 5, TRAIL_CARDS),
    ("disobedience", 5, TRAIL_CARDS),
    ("obstacle-failed", 5, AUSTRALIAN_133),
]
WESTERN_RIDING: list[Cost] = [
    ("log-tick", 0.5, FROM_MEMORY),
    ("hind-skip", 0.5, FROM_MEMORY),
    ("change-split", 0.5, FROM_MEMORY),
    ("log-hit", 1, FROM_MEMORY),
    ("gait-break-short", 1, FROM_MEMORY),
    ("change-off-centre", 1, FROM_MEMORY),
    ("log-split", 1, FROM_MEMORY),
    ("stop-late", 3, FROM_MEMORY),
    ("simple-change", 3, FROM_MEMORY),
    ("change-at-marker", 3, FROM_MEMORY),
    ("change-extra", 3, FROM_MEMORY),
    ("lope-break", 3, FROM_MEMORY),
    ("gait-break-long", 3, FROM_MEMORY),
    ("change-missed", 5, FROM_MEMORY),
    ("disobedience", 5, FROM_MEMORY),
]
REINING: list[Cost] = [
    # One point for each quarter of the circle; three quarters are written as 3.
    ("out-of-lead", 1, STOCK_HORSE_NEWS),
    ("change-late", 0.5, FROM_MEMORY),
    ("circle-jogged-short", 0.5, FROM_MEMORY),
    ("spin-off-eighth", 0.5, FROM_MEMORY),
    ("wall-near", 0.5, FROM_MEMORY),
    ("spin-off-quarter", 1, FROM_MEMORY),
    ("gait-break", 2, FROM_MEMORY),
    ("freezing", 2, FROM_MEMORY),
    ("walk-in-no-stop", 2, FROM_MEMORY),
    ("run-in-late", 2, FROM_MEMORY),
    ("stop-early", 2, FROM_MEMORY),
    ("circle-jogged-long", 2, FROM_MEMORY),
    ("spur-forward", 5, FROM_MEMORY),
    ("hand-on-horse", 5, FROM_MEMORY),
    ("saddle-held", 5, FROM_MEMORY),
    ("disobedience", 5, FROM_MEMORY),
]
# WSCA prints which faults are minor and which are major; that these cost 1 and 3 is from memory.
RANCH_RIDING: list[Cost] = [
    ("too-slow", 1, f"{WSCA}: a minor fault"),
    ("over-bridled", 1, f"{WSCA}: a minor fault"),
    ("out-of-frame", 1, f"{WSCA}: a minor fault"),
    ("gait-break-short", 1, f"{WSCA}: a minor fault"),
    ("gait-break-long", 3, f"{WSCA}: a major fault"),
    ("lope-break", 3, f"{WSCA}: a major fault"),
    ("wrong-lead", 3, f"{WSCA}: a major fault"),
    ("reins-draped", 3, f"{WSCA}: a major fault"),
    ("cross-canter", 3, f"{WSCA}: a major fault"),
    ("simple-change-long", 3, f"{WSCA}: a major fault"),
    ("obstacle-disturbed", 3, FROM_MEMORY),
    ("disobedience", 5, FROM_MEMORY),
    ("unnatural", 10, FROM_MEMORY),
]
CATALOGUES: dict[str, list[Cost]] = {
    "western-horsemanship": WESTERN_HORSEMANSHIP,
    "hunt-seat-equitation-flat": HUNT_SEAT,
    "showmanship-at-halter": SHOWMANSHIP,
    "trail": TRAIL,
    "western-riding": WESTERN_RIDING,
    "reining": REINING,
    "ranch-riding": RANCH_RIDING,
}


@pytest.mark.parametrize(("book", "sizes"), SIZES)
def test_the_sizes_of_penalties_are_as_published(book: str, sizes: list[float]) -> None:
    points = {to_number(rule.points) for rule in shipped_book(book).penalties}
    assert sorted(points) == sizes


@pytest.mark.parametrize(
    ("book", "code", "points", "source"),
    [(book, *entry) for book, entries in CATALOGUES.items() for entry in entries],
)
def test_a_fault_costs_what_its_source_says(
    book: str, code: str, points: float, source: str
) -> None:
    rule = shipped_book(book).penalty(code)
    assert isinstance(rule, Penalty)
    assert to_number(rule.points) == points
    assert rule.source.startswith(source)


@pytest.mark.parametrize("book", CATALOGUES)
def test_every_penalty_of_a_book_is_checked_here(book: str) -> None:
    codes = [rule.code for rule in shipped_book(book).penalties]
    assert sorted(codes) == sorted(code for code, _, _ in CATALOGUES[book])


def test_western_riding_takes_its_sizes_from_a_publication() -> None:
    # eXtension Horses, Judging Horse Events: Western Riding prints 0.5, 1, 3 and 5.
    sources = {rule.source for rule in shipped_book("western-riding").penalties}
    assert sources == {
        "from memory; the size: eXtension Horses, Judging Horse Events: Western Riding"
    }


# AQHA 2015 Rule Book (Australian Quarter Horse Association), pp. 126 and 139: a minor fault takes
# off 0.5 to 4 points, a major one 4.5 or more; on a scale of 0 to 100 that ends at 100.
@pytest.mark.parametrize(("code", "lowest", "highest"), [("minor", 0.5, 4), ("major", 4.5, 100)])
def test_the_older_equitation_book_lets_the_judge_choose_the_points(
    code: str, lowest: float, highest: float
) -> None:
    graded = {rule.code: rule for rule in shipped_book("equitation-hundred").graded_penalties}
    assert len(graded) == 2
    assert (to_number(graded[code].lowest), to_number(graded[code].highest)) == (lowest, highest)
    assert graded[code].step == 1
    assert graded[code].source == AUSTRALIAN_139


def test_a_size_between_the_published_ones_is_in_no_horsemanship_book() -> None:
    book = shipped_book("western-horsemanship")
    allowed = [half for half in range(-20, 41) if book.allows_size(half)]
    assert allowed == [6, 10, 20]


def test_a_senior_s_simple_change_is_marked_no_higher_than_nought() -> None:
    # Utah 4-H, rule book clarification: juniors and intermediates -1.5 to +1.5 for a simple change,
    # seniors 0 to -1.5.
    (cap,) = shipped_book("western-riding").caps
    assert cap.highest == 0
    assert cap.source.startswith("Utah 4-H")


def test_no_other_book_caps_a_mark() -> None:
    others = [book for book in CATALOGUES if book != "western-riding"]
    assert all(not shipped_book(book).caps for book in others)
