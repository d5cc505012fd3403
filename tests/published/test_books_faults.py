"""Faults of position and performance in the shipped rule books, against the pages read."""

import pytest

from service.books import shipped_book

AUSTRALIAN = "AQHA 2015 Rule Book (Australian Quarter Horse Association)"
EXT_WH = "eXtension Horses, Judging Horse Events: Western Horsemanship"
EXT_HS = "eXtension Horses, Judging Horse Events: Hunt Seat Equitation"
HANDOUT = "university hunt seat handout"

# Faults of that page, for riders: head, shoulders, arms, legs, turnout.
PAGE_139 = {
    "eyes-down",
    "staring-at-judge",
    "head-crooked",
    "shoulders-crooked",
    "stiff",
    "falling-forward",
    "arm-straight",
    "over-cueing",
    "rein-length",
    "leg-loose",
    "toe-down",
    "leg-misplaced",
    "turnout",
}
# Faults of that page, for showmanship.
PAGE_126 = {
    "grooming",
    "halter-fit",
    "stiff",
    "chain-held",
    "drifting",
    "stop-crooked",
    "back-sluggish",
    "set-up-slow",
    "pivot-lost",
    "foot-behind",
    "neck-crooked",
    "off-marker",
}
# Faults of that page, for reining: marked down, never a disqualification.
PAGE_115 = {
    "mouth-open",
    "stop-crooked",
    "change-refused",
    "anticipation",
    "stumble",
    "back-crooked",
    "marker-hit",
    "stirrup-lost",
    "needless-aid",
}


@pytest.mark.parametrize(
    ("book", "source", "codes"),
    [
        ("western-horsemanship", f"{AUSTRALIAN}, p. 139", PAGE_139),
        ("western-horsemanship", EXT_WH, {"hand-moves"}),
        ("western-horsemanship", f"{AUSTRALIAN}, pp. 138-139", {"circle-misshapen", "sluggish"}),
        ("western-horsemanship", HANDOUT, {"seat-behind"}),
        ("equitation-hundred", f"{AUSTRALIAN}, p. 139", PAGE_139 | {"lead-or-gait"}),
        ("showmanship-at-halter", f"{AUSTRALIAN}, p. 126", PAGE_126),
        ("reining", f"{AUSTRALIAN}, p. 115", PAGE_115),
        ("hunt-seat-equitation-flat", HANDOUT, {"seat-behind", "leaning-forward"}),
        ("hunt-seat-equitation-flat", f"{EXT_HS}, version of 2015", {"diagonal-wrong"}),
    ],
)
def test_a_book_knows_the_faults_of_the_page(book: str, source: str, codes: set[str]) -> None:
    known = {fault.code for fault in shipped_book(book).faults if fault.source.startswith(source)}
    assert known == codes


def test_hunt_seat_faults_are_the_reverse_of_the_published_position() -> None:
    # Eyes up, shoulders back; hands over and in front of the withers, knuckles 30 degrees inside
    # the vertical, straight line from mouth to elbow; heels down, calf on, iron under the ball.
    book = shipped_book("hunt-seat-equitation-flat")
    known = {fault.code for fault in book.faults if fault.source == EXT_HS}
    assert known == {
        "eyes-down",
        "shoulders-forward",
        "hands-misplaced",
        "knuckles-flat",
        "line-broken",
        "calf-off",
        "heel-up",
        "iron-misplaced",
    }
