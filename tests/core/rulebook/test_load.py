import msgspec
import pytest

from events.rulebook.fault import RuleBookFault, RuleBookRefused
from events.rulebook.load import (
    canonical,
    digest,
    from_canonical,
    load_json,
    load_toml,
    to_document,
)
from tests.core.rulebook.book_text import BOOK, faults_of, line_of, spoilt


def test_points_of_the_text_become_whole_half_points() -> None:
    book = load_toml(BOOK)
    assert book.scale.base == 140
    assert (book.scale.mark.lowest, book.scale.mark.highest, book.scale.mark.step) == (-6, 6, 1)
    assert [rule.points for rule in book.penalties] == [10, 1]
    assert book.graded_penalties[0].lowest == 9
    assert book.scale.mark.words[2].mark == 3


def test_tiers_and_places_stay_as_they_are_written() -> None:
    book = load_toml(BOOK)
    assert book.outcomes[0].tier == 2
    assert book.ties[2].places == 1


def test_the_author_s_form_holds_plain_numbers_and_leaves_out_what_is_not_said() -> None:
    document = to_document(load_toml(BOOK))
    assert document["scale"]["base"] == 70
    assert [rule["points"] for rule in document["penalties"]] == [5, 0.5]
    assert document["graded_penalties"][0]["lowest"] == 4.5
    assert document["outcomes"][0]["tier"] == 2
    assert "tier" not in document["outcomes"][1]
    assert "maneuver" not in document["ties"][0]


def test_the_author_s_form_written_as_json_reads_back_as_the_same_book() -> None:
    book = load_toml(BOOK)
    document = msgspec.json.decode(msgspec.json.encode(to_document(book)))
    assert load_json(document) == book


def test_a_json_book_may_say_null_where_the_toml_text_says_nothing() -> None:
    document = to_document(load_toml(BOOK))
    document["scale"]["rider_mark"] = None
    assert load_json(document).scale.rider_mark is None


def test_faults_of_a_json_book_have_a_path_and_no_line() -> None:
    document = to_document(load_toml(BOOK))
    document["penalties"][1]["points"] = None
    document["ties"] = "none"
    with pytest.raises(RuleBookRefused) as refused:
        load_json(document)
    assert [(fault.path, fault.line) for fault in refused.value.faults] == [
        ("penalties[1].points", None),
        ("ties", None),
    ]
    assert refused.value.faults[0].sentence == "This must be a number of points, not nothing."


@pytest.mark.parametrize("document", [None, "trail", 7, [1], True])
def test_a_json_book_that_is_no_table_is_refused_as_a_whole(document: object) -> None:
    with pytest.raises(RuleBookRefused) as refused:
        load_json(document)
    (fault,) = refused.value.faults
    assert fault.path == ""
    assert str(fault) == fault.sentence
    assert fault.sentence.startswith("This must be a table of keys and values, not ")


def test_text_that_no_encoding_can_write_is_refused() -> None:
    document = to_document(load_toml(BOOK))
    document["title"] = "half a letter \ud800"
    with pytest.raises(RuleBookRefused, match=r"^title: The text must be one line"):
        load_json(document)


def test_a_fault_reads_as_one_line_with_its_place() -> None:
    fault = RuleBookFault(path="penalties[3].points", line=40, sentence="That is wrong.")
    assert str(fault) == "line 40, penalties[3].points: That is wrong."


def test_a_refusal_reads_as_one_line_a_fault() -> None:
    text = spoilt("base = 70", "base = 170").replace("places = 1", "places = 0")
    with pytest.raises(RuleBookRefused) as refused:
        load_toml(text)
    assert str(refused.value).splitlines() == [str(fault) for fault in refused.value.faults]
    assert len(refused.value.faults) == 2


def test_a_mistake_in_the_toml_itself_is_refused_with_its_line() -> None:
    text = spoilt("ceiling = 100\n", "ceiling 100\n")
    (fault,) = faults_of(text)
    assert fault.line == line_of(text, "ceiling 100")
    assert fault.sentence.startswith("This is not written as TOML asks: ")


def test_a_key_written_twice_is_refused_with_its_line() -> None:
    text = spoilt("base = 70\n", "base = 70\nbase = 71\n")
    (fault,) = faults_of(text)
    assert fault.line == line_of(text, "base = 71")


def test_a_text_that_breaks_off_is_refused_at_its_last_line() -> None:
    text = 'id = "short"\nties = ['
    (fault,) = faults_of(text)
    assert fault.line == 2
    assert "at end of document" not in fault.sentence


def test_a_number_too_long_to_read_is_refused() -> None:
    (fault,) = faults_of(f"base = {'9' * 5000}")
    assert fault.sentence.startswith("This is not written as TOML asks: ")


def test_a_text_nested_too_deeply_is_refused() -> None:
    (fault,) = faults_of(f"base = {'[' * 5000}{']' * 5000}")
    assert fault.sentence == "The text is nested too deeply for a rule book."


def test_a_text_from_another_system_reads_the_same() -> None:
    assert load_toml("\ufeff" + BOOK.replace("\n", "\r\n")) == load_toml(BOOK)


def test_the_kept_form_reads_back_as_the_same_book() -> None:
    book = load_toml(BOOK)
    assert from_canonical(canonical(book)) == book


def test_the_kept_form_holds_sorted_keys_and_whole_numbers_only() -> None:
    content = canonical(load_toml(BOOK))
    assert content == msgspec.json.encode(msgspec.json.decode(content), order="deterministic")
    assert b'"base":140' in content
    assert b"null" not in content


@pytest.mark.parametrize("content", [b"", b"{}", b'{"id":"trail"', b'"\xff"', b"\xff"])
def test_bytes_that_were_never_kept_are_refused(content: bytes) -> None:
    with pytest.raises(RuleBookRefused, match=r"^This is no rule book as it is kept: "):
        from_canonical(content)


def test_a_digest_is_taken_over_the_content_however_it_was_written() -> None:
    book = load_toml(BOOK)
    spaced = load_toml(BOOK.replace(" = ", "   =   ").replace("points = 0.5", "points = 5e-1"))
    assert digest(book) == digest(spaced) == digest(load_json(to_document(book)))
    assert digest(book).startswith("sha256:")
    assert len(digest(book)) == len("sha256:") + 64


def test_any_change_of_content_changes_the_digest() -> None:
    assert digest(load_toml(BOOK)) != digest(load_toml(spoilt("points = 0.5", "points = 1")))
