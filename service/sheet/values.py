"""What single values of a sheet must be: each function reads one, or says why it cannot."""

import difflib
import json
import re
import unicodedata
from collections.abc import Callable, Sequence

from events.half_points import HalfPoints, from_number

_MOST_POINTS = 10_000
_MOST = 999_999_999
_LONGEST_QUOTE = 20
_NUMBER_AS_TEXT = re.compile(r"[1-9][0-9]{0,8}")


class Unreadable(Exception):
    """A value that is not what it must be here, in a sentence."""


def words(value: object) -> str:
    """Free text that is not empty, of one or several lines, without the blanks round it."""
    if not isinstance(value, str):
        raise Unreadable(must_be('text in quotation marks " "', value))
    text = value.strip()
    if not text:
        raise Unreadable("There must be text here; it is empty.")
    if any(unicodedata.category(sign) in {"Cc", "Cs"} for sign in "".join(text.split())):
        raise Unreadable("There is a sign in this text that cannot be shown.")
    return text


def line(value: object) -> str:
    """Text as ``words``, but in one line."""
    text = words(value)
    if len(text.splitlines()) > 1 or "\t" in text:
        raise Unreadable("This must be one line of text.")
    return text


def number_as_text(value: object) -> str:
    """A working-order number, written as text."""
    if isinstance(value, int) and not isinstance(value, bool) and value > 0:
        raise Unreadable(f'The working-order number is written as text: "{value}".')
    if not isinstance(value, str) or not _NUMBER_AS_TEXT.fullmatch(value):
        raise Unreadable(must_be('a working-order number as text, such as "1"', value))
    return value


def choice(choices: Sequence[str]) -> Callable[[object], str]:
    """Reads one of these texts."""

    def read(value: object) -> str:
        if not isinstance(value, str):
            raise Unreadable(must_be(f"one of {', '.join(choices)}", value))
        if value not in choices:
            raise Unreadable(f"`{value}` is not known here; {meant(value, choices)}.")
        return value

    return read


def yes_or_no(value: object) -> bool:
    """True or false."""
    if not isinstance(value, bool):
        raise Unreadable(must_be("true or false", value))
    return value


def whole(most: int = _MOST) -> Callable[[object], int]:
    """Reads a whole number from 1 to ``most``."""

    def read(value: object) -> int:
        number = int(value) if isinstance(value, float) and value.is_integer() else value
        if isinstance(number, bool) or not isinstance(number, int) or not 1 <= number <= most:
            raise Unreadable(must_be(f"a whole number from 1 to {most}", value))
        return number

    return read


def cut(value: object) -> int:
    """A cut: a whole number from 0 up."""
    if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value <= _MOST:
        raise Unreadable(must_be("a whole number from 0 up", value))
    return value


def points(value: object) -> HalfPoints:
    """A number of points, by halves."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise Unreadable(must_be("a number of points", value))
    if not abs(value) <= _MOST_POINTS:
        raise Unreadable(f"No score goes beyond {_MOST_POINTS} points; this is {_number(value)}.")
    try:
        return from_number(value)
    except ValueError:
        raise Unreadable(
            f"Points go by halves, so {_number(value)} cannot be: write 0, 0.5, 1 and so on."
        ) from None


def must_be(wanted: str, value: object) -> str:
    """The sentence for a value of another kind than is wanted."""
    return f"This must be {wanted}, not {_named(value)}."


def meant(word: str, known: Sequence[str]) -> str:
    """What may have been meant by a word that is not known, or else all that are."""
    close = difflib.get_close_matches(word, known, n=1)
    return f"`{close[0]}` may be meant" if close else f"there are {', '.join(known)}"


def _number(value: float) -> str:
    """A number as JSON writes it."""
    return json.dumps(value)


def _named(value: object) -> str:
    match value:
        case None:
            return "null"
        case bool():
            return str(value).lower()
        case int() | float():
            return f"the number {_number(value)}"
        case str():
            return f'the text "{value}"' if len(value) <= _LONGEST_QUOTE else "a text"
        case list():
            return "a list"
        case _:
            return "an object"
