"""Reads the author's form of a rule book, and misses no fault on the way.

The author writes points as plain numbers (0.5, 1.5, 70); inside they are whole half points.
"""

import difflib
import re
import unicodedata
from collections.abc import Iterator
from typing import TypeVar, cast

import msgspec

from events.half_points import HalfPoints, from_number
from events.rulebook.fault import Path
from events.rulebook.model import RuleBook

_Part = TypeVar("_Part")
_MOST_POINTS = 10_000
_SLUG = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
_BROKEN = object()
"""Stands for what could not be read; its fault is already noted."""


class _Unreadable(Exception):
    """A value that is not what it must be here, in a sentence."""


class Reading:
    """A rule book being read: its parts that could be read, and the faults of the others.

    ``given`` holds the value at every key that was written, readable or not.
    """

    def __init__(self) -> None:
        self.parts: dict[Path, object] = {}
        self.faults: list[tuple[Path, str]] = []
        self.given: dict[Path, object] = {}

    def fault(self, path: Path, sentence: str) -> None:
        """Notes what is wrong at ``path``."""
        self.faults.append((path, sentence))

    def each(self, kind: type[_Part]) -> Iterator[tuple[Path, _Part]]:
        """Every part of that kind that could be read, in the order of the model."""
        return ((path, part) for path, part in self.parts.items() if isinstance(part, kind))

    def at(self, path: Path, kind: type[_Part]) -> _Part | None:
        """The part at ``path``, if it is there and could be read."""
        part = self.parts.get(path)
        return part if isinstance(part, kind) else None


def read(document: object, shape: msgspec.inspect.StructType | None = None) -> Reading:
    """What the document says, part by part; the whole stands at ``()`` if all is well.

    ``shape`` is that of a rule book unless another is given.
    """
    reading = Reading()
    _read(reading, document, shape or SHAPE, ())
    return reading


def _read(reading: Reading, value: object, shape: msgspec.inspect.Type, path: Path) -> object:
    try:
        match shape:
            case msgspec.inspect.StructType():
                return _read_struct(reading, value, shape, path)
            case msgspec.inspect.VarTupleType():
                return _read_tuple(reading, value, shape, path)
            case msgspec.inspect.UnionType():  # of something and nothing, and JSON can say null
                return None if value is None else _read(reading, value, shape.types[0], path)
            case _:
                return _read_plain(value, shape)
    except _Unreadable as refused:
        reading.fault(path, str(refused))
        return _BROKEN


def _read_struct(
    reading: Reading, value: object, shape: msgspec.inspect.StructType, path: Path
) -> object:
    if not isinstance(value, dict):
        raise _Unreadable(f"This must be a table of keys and values, not {_named(value)}.")
    reading.given[path] = value
    fields = {field.name: field for field in shape.fields}
    for key in value:
        if key not in fields:
            reading.fault((*path, str(key)), _unknown_key(str(key), list(fields)))
    read_fields = {}
    for name, field in fields.items():
        if name in value:
            read_fields[name] = _read(reading, value[name], field.type, (*path, name))
            reading.given[*path, name] = read_fields[name]
        elif field.required:
            reading.fault((*path, name), f"The key `{name}` is missing here.")
            read_fields[name] = _BROKEN
    if _BROKEN in read_fields.values():
        return _BROKEN
    reading.parts[path] = part = shape.cls(**read_fields)
    return part


def _read_tuple(
    reading: Reading, value: object, shape: msgspec.inspect.VarTupleType, path: Path
) -> object:
    if not isinstance(value, list | tuple):
        raise _Unreadable(f"This must be a list, not {_named(value)}.")
    items = [
        _read(reading, item, shape.item_type, (*path, position))
        for position, item in enumerate(value)
    ]
    return _BROKEN if _BROKEN in items else tuple(items)


def _read_plain(value: object, shape: msgspec.inspect.Type) -> object:
    match shape:
        case msgspec.inspect.BoolType():
            if not isinstance(value, bool):
                raise _Unreadable(f"This must be true or false, not {_named(value)}.")
            return value
        case msgspec.inspect.LiteralType(values=values):
            return _read_choice(value, [str(choice) for choice in values])
        case msgspec.inspect.IntType(ge=None):
            return _read_points(value)
        case msgspec.inspect.IntType():
            if isinstance(value, bool) or not isinstance(value, int) or value < 1:
                raise _Unreadable("This must be a whole number from 1 up.")
            return value
        case msgspec.inspect.StrType(pattern=None):
            return _read_text(value)
        case _:
            return _read_slug(value)


def _read_points(number: object) -> HalfPoints:
    if isinstance(number, bool) or not isinstance(number, int | float):
        raise _Unreadable(f"This must be a number of points, not {_named(number)}.")
    try:
        half = from_number(number)
    except (ValueError, OverflowError):
        raise _Unreadable(
            f"Points go by halves, so {number} cannot be counted: write 0.5, 1, 1.5 and so on."
        ) from None
    if abs(half) > 2 * _MOST_POINTS:
        raise _Unreadable(f"No score of a class goes beyond {_MOST_POINTS} points.")
    return half


def _read_choice(value: object, choices: list[str]) -> str:
    if not isinstance(value, str) or value not in choices:
        said = f"`{value}`" if isinstance(value, str) else _named(value)
        raise _Unreadable(f"This must be one of {_listed(choices)}, not {said}.")
    return value


def _read_text(value: object) -> str:
    if not isinstance(value, str):
        raise _Unreadable(f"This must be text in quotation marks, not {_named(value)}.")
    if not value.strip():
        raise _Unreadable("There must be text here; it is empty.")
    if value != value.strip():
        raise _Unreadable("The text must not begin or end with a blank.")
    if any(unicodedata.category(letter) in {"Cc", "Cs"} for letter in value):
        raise _Unreadable("The text must be one line of ordinary letters.")
    return value


def _read_slug(value: object) -> str:
    text = _read_text(value)
    if not _SLUG.fullmatch(text):
        raise _Unreadable(
            f"`{text}` must be small letters and digits, with single hyphens between words, "
            "such as `stop-late`."
        )
    return text


def _unknown_key(key: str, known: list[str]) -> str:
    close = difflib.get_close_matches(key, known, n=1)
    if close:
        return f"There is no key `{key}` here; `{close[0]}` may be meant."
    return f"There is no key `{key}` here; the keys are {_listed(known)}."


def _listed(names: list[str]) -> str:
    return ", ".join(f"`{name}`" for name in names)


def _named(value: object) -> str:
    """What a person would call the kind of value that was found."""
    match value:
        case None:
            return "nothing"
        case bool():
            return "true or false"
        case int() | float():
            return f"the number {value}"
        case str():
            return "text"
        case list() | tuple():
            return "a list"
        case dict():
            return "a table"
        case _:
            return "a date or time"


SHAPE = cast("msgspec.inspect.StructType", msgspec.inspect.type_info(RuleBook))
"""What a rule book is made of; a plain number in it is half points unless it counts from 1 up."""
