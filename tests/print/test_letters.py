"""Which letters can be printed, held against the fonts, and what stands in for the others."""

import unicodedata
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st

import service.print
from service.print.letters import BOX, known_letters, legible

FONTS = Path(service.print.__file__).parent / "fonts"
JOINERS = {0x200C, 0x200D}
"""What joins letters or keeps them apart, as Persian and Indic scripts need it."""


def _in_both_weights() -> set[int]:
    weights = [set(TTFont(path).getBestCmap()) for path in sorted(FONTS.glob("*.ttf"))]
    assert len(weights) == 2
    return weights[0] & weights[1]


def test_the_list_of_letters_is_what_both_weights_of_the_typeface_have() -> None:
    shown = {
        letter
        for letter in _in_both_weights()
        if letter in JOINERS or unicodedata.category(chr(letter)) not in {"Cc", "Cf", "Co", "Cn"}
    }
    assert known_letters() == shown


@pytest.mark.parametrize(
    "name",
    ["Tomás", "Łucja Wójcik", "Åse Bjørnsdóttir", "Đorđe Živković", "Şule Çağlar", "Nguyễn Thị Ánh",
     "Ζωή Παππά", "Олена Гнатюк", "Anaïs Œuvray", "Kārlis Ķirsis", "משה לוי", "ليلى حداد"],
)  # fmt: skip
def test_names_of_many_languages_are_printed_letter_for_letter(name: str) -> None:
    assert legible(name) == unicodedata.normalize("NFC", name)


def test_a_decomposed_name_is_composed() -> None:
    assert legible("Toma\u0301s") == "Tomás"


def test_each_letter_that_the_typeface_has_not_becomes_a_box() -> None:
    assert legible("Yuki 花村") == f"Yuki {BOX}{BOX}"


def test_a_name_is_one_line_and_holds_no_mark_that_turns_text_round() -> None:
    assert legible("Ida\n\tFalk \u202e5\u202c ") == "Ida Falk 5"


def test_a_name_of_unknown_letters_alone_is_never_nothing() -> None:
    assert legible("\ue000") == BOX


@given(st.text())
def test_whatever_is_printed_is_in_the_typeface(text: str) -> None:
    shown = legible(text)
    assert {ord(letter) for letter in shown} <= known_letters()
    assert bool(shown) == bool(text.strip())
