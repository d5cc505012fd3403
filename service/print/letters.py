"""Which letters the papers' typeface has, and what stands in for those that it has not.

``fonts/letters.txt`` lists the letters that both of its weights have, so that nobody reads a font
to print a name; a test holds the list against the fonts themselves.
"""

import unicodedata
from functools import cache
from importlib.resources import files

BOX = "\u25a1"
"""What is printed in place of a letter that the typeface has not."""

LETTERS = "letters.txt"
_SILENT = frozenset({"Mn", "Me", "Cf", "Cn", "Co", "Cs"})
"""What shows nothing by itself: where it cannot be printed, no box is printed for it either."""


def legible(text: str) -> str:
    """The text as it can be printed: composed, on one line, with a box for each letter unknown."""
    composed = unicodedata.normalize("NFC", text)
    shown = "".join(_printed(letter) for letter in composed)
    return " ".join(shown.split()) or (BOX if text.strip() else "")


def _printed(letter: str) -> str:
    if letter.isspace() or unicodedata.category(letter) == "Cc":
        return " "
    if ord(letter) in known_letters():
        return letter
    return "" if unicodedata.category(letter) in _SILENT else BOX


@cache
def known_letters() -> frozenset[int]:
    """Every code point that the typeface has in regular and in bold."""
    text = files("service.print").joinpath("fonts", LETTERS).read_text("ascii")
    found: set[int] = set()
    for line in text.split():
        first, _, last = line.partition("-")
        found.update(range(int(first, 16), int(last or first, 16) + 1))
    return frozenset(found)
