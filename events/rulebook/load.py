"""Rule books in and out: the author's TOML or JSON, and the form that is kept under a digest.

A book is loaded whole or refused whole, with all its faults (``RuleBookRefused``).
"""

import hashlib
import re
import tomllib
from collections.abc import Callable, Iterable
from typing import Any

import msgspec

from events.half_points import to_number
from events.rulebook.coherence import incoherences
from events.rulebook.fault import Path, RuleBookFault, RuleBookRefused, path_text
from events.rulebook.lines import Lines
from events.rulebook.model import RuleBook
from events.rulebook.read import SHAPE, read

_POSITION = re.compile(r" ?\(at (?:line (?P<line>\d+), column \d+|end of document)\)$")
LineOf = Callable[[Path], int | None]
"""The line of the text on which a path stands; ``None`` where there is no text."""


def load_toml(text: str) -> RuleBook:
    """The rule book that a TOML text holds; ``RuleBookRefused`` with the lines at fault."""
    return _load(*parse_toml(text))


def parse_toml(text: str) -> tuple[dict[str, Any], LineOf]:
    """What a TOML text says, and where; ``RuleBookRefused`` with the line that is no TOML."""
    text = text.removeprefix("\ufeff").replace("\r\n", "\n")
    try:
        return tomllib.loads(text), Lines(text).of
    except RecursionError:
        raise _refused_at(1, "The text is nested too deeply for a rule book.") from None
    except ValueError as wrong:
        raise _not_toml(text, str(wrong)) from None


def refusal(found: Iterable[tuple[Path, str]], line_of: LineOf) -> RuleBookRefused:
    """The refusal that says everything that was found wrong, in the order of the lines."""
    faults = [
        RuleBookFault(path=path_text(path), line=line_of(path), sentence=sentence)
        for path, sentence in found
    ]
    return RuleBookRefused(tuple(sorted(faults, key=lambda fault: fault.line or 0)))


def load_json(document: object) -> RuleBook:
    """The rule book in a decoded JSON document, with the same keys as the TOML form."""
    return _load(document, lambda _: None)


def to_document(book: RuleBook) -> dict[str, Any]:
    """The keys and values an author would write, points as plain numbers, defaults left out."""
    return written(book, SHAPE)


def written(part: object, shape: msgspec.inspect.StructType) -> dict[str, Any]:
    """The same of any part of a book, or of another thing that authors write, by its shape."""
    values = ((field, getattr(part, field.name)) for field in shape.fields)
    return {
        field.name: _value(value, field.type) for field, value in values if value != field.default
    }


def canonical(book: RuleBook) -> bytes:
    """The bytes that a book is kept as: sorted JSON in whole half points, defaults left out."""
    return msgspec.json.encode(book, order="sorted")


def from_canonical(content: bytes) -> RuleBook:
    """The book that was kept as these bytes; ``RuleBookRefused`` if they are none."""
    try:
        return msgspec.json.decode(content, type=RuleBook)
    except (msgspec.DecodeError, UnicodeDecodeError) as wrong:
        raise _refused_at(None, f"This is no rule book as it is kept: {wrong}.") from None


def digest(book: RuleBook) -> str:
    """The SHA-256 digest of a book's canonical bytes, which a class is held to."""
    return f"sha256:{hashlib.sha256(canonical(book)).hexdigest()}"


def _load(document: object, line_of: LineOf) -> RuleBook:
    reading = read(document)
    found = [*reading.faults, *incoherences(reading)]
    book = reading.at((), RuleBook)
    if book is None or found:
        raise refusal(found, line_of)
    return book


def _not_toml(text: str, wrong: str) -> RuleBookRefused:
    position = _POSITION.search(wrong)
    line = int(position["line"]) if position and position["line"] else text.count("\n") + 1
    return _refused_at(line, f"This is not written as TOML asks: {_POSITION.sub('', wrong)}.")


def _refused_at(line: int | None, sentence: str) -> RuleBookRefused:
    return RuleBookRefused((RuleBookFault(path="", line=line, sentence=sentence),))


def _value(value: Any, shape: msgspec.inspect.Type) -> Any:  # noqa: ANN401 - JSON values
    match shape:
        case msgspec.inspect.StructType():
            return written(value, shape)
        case msgspec.inspect.VarTupleType(item_type=item_type):
            return [_value(item, item_type) for item in value]
        case msgspec.inspect.UnionType(types=(given, *_)):
            return _value(value, given)
        case msgspec.inspect.IntType(ge=None):
            return to_number(value)
        case _:
            return value
