"""What holds for every rule book, and for every text that tries to be one."""

import json
from contextlib import suppress
from typing import get_args

import msgspec
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from events.rulebook.fault import RuleBookRefused
from events.rulebook.load import canonical, from_canonical, load_json, to_document
from events.rulebook.model import OutcomeKind, RuleBook
from tests.core.rulebook.book_text import faults_of
from tests.core.rulebook.strategies import OUTCOME_KINDS, rule_books, spoilt_texts

JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=4),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=4), inner),
    max_leaves=6,
)


@given(rule_books())
def test_a_book_written_in_its_author_s_form_reads_back_the_same(book: RuleBook) -> None:
    document = msgspec.json.decode(msgspec.json.encode(to_document(book)))
    assert load_json(document) == book


@given(rule_books())
def test_the_author_s_form_holds_no_number_but_whole_and_half_ones(book: RuleBook) -> None:
    for number in _numbers(to_document(book)):
        assert isinstance(number, int) or number * 2 == int(number * 2) != int(number) * 2


@given(rule_books())
def test_a_kept_book_reads_back_the_same(book: RuleBook) -> None:
    assert from_canonical(canonical(book)) == book


@given(rule_books())
def test_the_kept_bytes_are_those_of_the_json_canonicalization_scheme(book: RuleBook) -> None:
    # RFC 8785, by the rfc8785 library.
    content = canonical(book)
    assert content == rfc8785.dumps(json.loads(content))


@given(spoilt_texts())
def test_any_text_is_a_book_or_is_refused_with_lines_that_it_has(text: str) -> None:
    last = text.count("\n") + 1
    for fault in faults_of(text):
        assert fault.line
        assert 1 <= fault.line <= last


@given(rule_books(), st.data())
def test_any_json_is_a_book_or_is_refused(book: RuleBook, data: st.DataObject) -> None:
    document = to_document(book)
    place = data.draw(st.sampled_from(sorted(document)))
    document[place] = data.draw(JSON)
    with suppress(RuleBookRefused):
        assert isinstance(load_json(document), RuleBook)


def test_every_outcome_that_a_book_may_name_is_among_those_tried() -> None:
    assert get_args(OutcomeKind) == OUTCOME_KINDS


def _numbers(value: object) -> list[int | float]:
    match value:
        case bool() | str():
            return []
        case dict():
            return [number for inner in value.values() for number in _numbers(inner)]
        case list():
            return [number for inner in value for number in _numbers(inner)]
        case int() | float():
            return [value]
        case _:
            raise AssertionError(value)
