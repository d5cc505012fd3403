"""What rule books say of draws, against the rules of the bodies that print them."""

from typing import Any

import msgspec
import pytest

from events.rulebook.load import digest, from_canonical, load_json, to_document
from events.rulebook.model import DrawRule
from events.scoring.draw_clashes import AHA_ORDER_OF_GO
from events.scoring.draw_order import in_sections
from service.books import shipped, shipped_book
from service.desk.draw_steps import PLACES, limits_of


def book_with(**draw: Any) -> DrawRule:  # noqa: ANN401 - as an author writes it
    """The rule of a show's own book, as its author writes it."""
    document = to_document(shipped_book("trail"))
    document |= {"id": "our-trail", "edition": "1", "draw": {"source": "ours", **draw}}
    book = load_json(document)
    assert book.draw is not None
    return book.draw


@pytest.mark.parametrize("book", shipped())
def test_late_entries_go_first_in_reverse_of_the_order_received(book: str) -> None:
    # American Mule Association, rule 101, General Show Rules
    rule = shipped_book(book).draw
    assert rule is not None
    assert PLACES[rule.late_entries] == "first_in_reverse"
    assert "American Mule Association, rule 101" in rule.source


@pytest.mark.parametrize("book", shipped())
def test_there_are_three_calls_to_the_gate(book: str) -> None:
    # South Plains, 2015 (abcdocz 995603)
    rule = shipped_book(book).draw
    assert rule is not None
    assert rule.gate_calls == 3
    assert "South Plains, 2015" in rule.source


@pytest.mark.parametrize("book", shipped())
def test_no_shipped_book_splits_a_class_or_spaces_a_draw_by_itself(book: str) -> None:
    # Bodies differ (AMA splits above 25, AMHA halter at 45, most do neither), and a class that is
    # split has two winners: a show says so in a book of its own.
    rule = shipped_book(book).draw
    assert rule is not None
    assert (rule.split_above, rule.rider_apart, rule.most_rides) == (None, (), None)


def test_a_shows_own_book_keeps_riders_apart_as_the_order_of_go_does() -> None:
    # AHA, AEPA Class: Establishing 'Order of Go' (studylib.net/doc/7137554)
    rule = book_with(rider_apart=[2, 3], most_rides=3)
    assert limits_of(rule) == AHA_ORDER_OF_GO


@pytest.mark.parametrize(
    ("split_above", "entries", "sizes"),
    [
        (25, 25, (25,)),  # American Mule Association, rule 101: classes over 25 are split
        (25, 26, (13, 13)),
        (25, 51, (17, 17, 17)),
        (44, 44, (44,)),  # AMHA 2016 Rule Book, page 169: split at 45, as equally as can be
        (44, 45, (23, 22)),
        (44, 89, (30, 30, 29)),
    ],
)
def test_a_shows_own_book_splits_a_class_that_is_too_large(
    split_above: int, entries: int, sizes: tuple[int, ...]
) -> None:
    rule = book_with(split_above=split_above)
    assert rule.split_above is not None
    assert in_sections(entries, rule.split_above) == sizes


def test_a_book_that_says_nothing_of_calls_keeps_the_digest_it_had() -> None:
    book = msgspec.structs.replace(shipped_book("trail"), draw=DrawRule(source="x", split_above=2))
    kept = msgspec.json.encode(book, order="sorted")
    assert b"gate_calls" not in kept
    assert digest(from_canonical(kept)) == digest(book)
