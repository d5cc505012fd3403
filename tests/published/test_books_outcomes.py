"""What becomes of a ride without a normal score: the shipped rule books against what was read."""

from typing import NamedTuple

import pytest

from service.books import shipped, shipped_book

COMMON_PRACTICE = "common practice"
FROM_MEMORY = "from memory"
AUSTRALIAN_138 = "AQHA 2015 Rule Book (Australian Quarter Horse Association), p. 138"
AUSTRALIAN_139 = "AQHA 2015 Rule Book (Australian Quarter Horse Association), p. 139"
PASTURE_TRAIL = "Supreme Cowgirl Challenge, pasture trail rules"
SHOWMANSHIP_CARDS = "study cards on showmanship (Brainscape pack 22602992), secondary"
MULES = "American Mule Association rule book, rules 231-232"
AQHA_481 = "American Quarter Horse Association rule 481"
SOUTH_PLAINS = "South Plains, 2015 (abcdocz 995603)"
SHW260 = "note on American rule SHW260"


class Published(NamedTuple):
    book: str
    kind: str
    placing: str
    total: str
    source: str


RULES = [
    # A run off pattern stands below every complete one.
    Published("western-horsemanship", "off_pattern", "below", "kept", PASTURE_TRAIL),
    Published("hunt-seat-equitation-flat", "off_pattern", "below", "kept", PASTURE_TRAIL),
    Published("ranch-riding", "off_pattern", "below", "kept", PASTURE_TRAIL),
    # A gait left out or a turn wrong by more than a quarter disqualifies.
    Published("showmanship-at-halter", "off_pattern", "unplaced", "none", SHOWMANSHIP_CARDS),
    # Pattern not followed, cone knocked over or worked on the wrong side: disqualified.
    Published("equitation-hundred", "off_pattern", "unplaced", "none", AUSTRALIAN_138),
    # Not eliminated, but below all others that completed the pattern.
    Published("equitation-hundred", "severe_fault", "below", "kept", AUSTRALIAN_139),
    # A zero never places.
    Published("trail", "zero", "unplaced", "zero", MULES),
    Published("western-riding", "zero", "unplaced", "zero", MULES),
    Published("ranch-riding", "zero", "unplaced", "zero", MULES),
    # From memory, with low confidence: some bodies place a zero after all scores.
    Published("reining", "zero", "unplaced", "zero", FROM_MEMORY),
    Published("reining", "no_score", "unplaced", "none", AQHA_481),  # quoted in 2017, secondary
    # Out of order is no time.
    Published("timed", "no_time", "unplaced", "none", SOUTH_PLAINS),
]


@pytest.mark.parametrize("published", RULES, ids=lambda rule: f"{rule.book}-{rule.kind}")
def test_an_outcome_places_as_its_source_says(published: Published) -> None:
    rule = shipped_book(published.book).outcome(published.kind)
    assert rule is not None
    assert (rule.placing, rule.total) == (published.placing, published.total)
    assert published.source in rule.source


@pytest.mark.parametrize("book", shipped())
def test_a_disqualified_entry_has_no_place_and_counts_in_the_class_size(book: str) -> None:
    # Note on American rule SHW260, americashorse.tv: it counts if it was exhibited.
    rule = shipped_book(book).outcome("disqualified")
    assert rule is not None
    assert (rule.placing, rule.total, rule.in_class_size) == ("unplaced", "none", True)
    assert SHW260 in rule.source


@pytest.mark.parametrize("book", shipped())
def test_an_excused_entry_was_shown_and_one_that_missed_the_gate_was_not(book: str) -> None:
    # Common practice; a prize list that was read counts an entry as shown until it is excused.
    excused, missed = (shipped_book(book).outcome(kind) for kind in ("excused", "missed_gate"))
    assert excused is not None
    assert missed is not None
    assert (excused.placing, excused.in_class_size) == ("unplaced", True)
    assert (missed.placing, missed.in_class_size) == ("unplaced", False)
    assert excused.source == COMMON_PRACTICE
    assert missed.source.startswith("Missouri Fox Trotting rule book, p. 9")


def test_only_the_older_equitation_book_knows_a_severe_fault() -> None:
    # AQHA 2015 Rule Book (Australian Quarter Horse Association), pp. 126 and 139.
    knowing = [book.id for book in shipped().values() if book.outcome("severe_fault")]
    assert knowing == ["equitation-hundred"]


def test_only_reining_tells_a_no_score_from_a_zero() -> None:
    # American Quarter Horse Association rule 481, as quoted on a rider's page of 2017, secondary.
    knowing = [book.id for book in shipped().values() if book.outcome("no_score")]
    assert knowing == ["reining"]


def test_a_no_score_counts_in_the_class_size() -> None:
    # Cow horse study text of 2024, secondary.
    rule = shipped_book("reining").outcome("no_score")
    assert rule is not None
    assert rule.in_class_size


@pytest.mark.parametrize("book", shipped())
def test_every_book_sends_its_user_to_the_handbook_the_officials_and_those_who_help(
    book: str,
) -> None:
    notice = shipped_book(book).notice
    for word in ("handbook in force", "judge", "steward", "stop", "medic", "veterinarian", "abuse"):
        assert word in notice
