"""The shelf of rule books: complete, under their own names, and never changed in silence."""

import json
from importlib.resources import files
from pathlib import Path

import pytest

from events.rulebook.load import canonical, digest, from_canonical, load_json, to_document
from service.books import NoSuchBook, shipped, shipped_book

EDITIONS = Path(__file__).with_name("book_editions.json")


def test_the_shelf_holds_every_book_in_the_order_of_their_ids() -> None:
    assert list(shipped()) == [
        "equitation-hundred",
        "hunt-seat-equitation-flat",
        "rail-placed",
        "ranch-riding",
        "reining",
        "showmanship-at-halter",
        "showmanship-twenty",
        "timed",
        "trail",
        "western-horsemanship",
        "western-riding",
    ]


def test_every_file_is_named_by_the_id_of_its_book() -> None:
    names = [entry.name for entry in files("events.rulebook").joinpath("books").iterdir()]
    assert sorted(names) == [f"{book}.toml" for book in shipped()]


def test_the_shelf_is_read_once_and_cannot_be_rearranged() -> None:
    assert shipped() is shipped()
    with pytest.raises(TypeError):
        shipped()["trail"] = shipped_book("reining")  # type: ignore[index]


def test_an_unknown_book_is_answered_with_the_ids_there_are() -> None:
    with pytest.raises(NoSuchBook) as refused:
        shipped_book("gymkhana")
    assert refused.value.book_id == "gymkhana"
    assert refused.value.known == tuple(shipped())
    assert str(refused.value).startswith(
        "There is no rule book `gymkhana` here; there are equitation-hundred, hunt-seat"
    )


@pytest.mark.parametrize("book", shipped())
def test_a_shipped_book_survives_its_author_s_form_and_its_kept_form(book: str) -> None:
    shelved = shipped_book(book)
    assert load_json(to_document(shelved)) == shelved
    assert from_canonical(canonical(shelved)) == shelved


@pytest.mark.parametrize("book", shipped())
def test_a_changed_book_has_a_new_edition(book: str) -> None:
    # A class is held to a digest, people speak of an edition: the two must move together. For a
    # new edition add its digest; never edit one that has been released.
    editions = json.loads(EDITIONS.read_text(encoding="utf-8"))
    shelved = shipped_book(book)
    assert editions[book].get(shelved.edition) == digest(shelved)


def test_no_edition_is_kept_for_a_book_that_is_gone() -> None:
    assert sorted(json.loads(EDITIONS.read_text(encoding="utf-8"))) == list(shipped())
