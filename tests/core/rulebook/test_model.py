import pytest

from events.rulebook.load import load_toml
from tests.core.rulebook.book_text import BOOK

BOOK_READ = load_toml(BOOK)


@pytest.mark.parametrize(
    ("mark", "held"), [(-6, True), (-7, False), (6, True), (7, False), (1, True)]
)
def test_a_range_holds_its_own_marks_only(mark: int, held: bool) -> None:
    assert BOOK_READ.scale.mark.holds(mark) is held


def test_a_range_holds_no_mark_between_its_steps() -> None:
    rider = BOOK_READ.scale.rider_mark
    assert rider is not None
    assert [mark for mark in range(-1, 12) if rider.holds(mark)] == [0, 2, 4, 6, 8, 10]


@pytest.mark.parametrize(
    ("mark", "word"),
    [(-7, None), (-6, "very poor"), (-1, "very poor"), (0, "correct"), (6, "good")],
)
def test_a_mark_has_the_word_of_the_nearest_worded_mark_below(mark: int, word: str | None) -> None:
    assert BOOK_READ.scale.mark.word_for(mark) == word


@pytest.mark.parametrize(
    ("total", "word"),
    [(119, None), (120, "fair"), (139, "fair"), (140, "average"), (200, "average")],
)
def test_a_total_has_the_word_of_its_band(total: int, word: str | None) -> None:
    assert BOOK_READ.scale.band_for(total) == word


def test_rules_are_found_by_their_code_or_kind() -> None:
    assert BOOK_READ.penalty("cone-tick") == BOOK_READ.penalties[1]
    assert BOOK_READ.penalty("schooling") == BOOK_READ.graded_penalties[0]
    assert BOOK_READ.penalty("simple-change") is None
    assert BOOK_READ.cap("simple-change") == BOOK_READ.caps[0]
    assert BOOK_READ.cap("cone-tick") is None
    assert BOOK_READ.outcome("disqualified") == BOOK_READ.outcomes[1]
    assert BOOK_READ.outcome("severe_fault") is None


@pytest.mark.parametrize(
    ("points", "allowed"), [(1, True), (10, True), (2, False), (9, True), (20, True), (21, False)]
)
def test_a_size_is_allowed_when_some_penalty_has_it(points: int, allowed: bool) -> None:
    assert BOOK_READ.allows_size(points) is allowed
