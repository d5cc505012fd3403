"""From a file's bytes to the JSON document in it, with nothing lost that is worth a fault."""

import json
from collections.abc import Iterator
from typing import Any

from service.sheet.faults import Path, SheetFault, SheetRefused

_LONGEST_WHOLE_NUMBER = 18
"""Digits; longer numbers are read inexactly, since no field has room for them."""


class RepeatedKeys(dict[str, Any]):
    """An object in which some keys stand more than once; the last of each is kept."""

    repeated: tuple[str, ...] = ()


def read_document(content: bytes) -> Any:  # noqa: ANN401 - JSON values
    """The JSON document in ``content``; ``SheetRefused`` with line and column if it is not JSON."""
    try:
        text = content.decode(json.detect_encoding(content)).removeprefix("\ufeff")
        return json.loads(text, object_pairs_hook=_object, parse_int=_whole)
    except json.JSONDecodeError as wrong:
        place = f"line {wrong.lineno}, column {wrong.colno}"
        reason = f"{wrong.msg[:1].lower()}{wrong.msg[1:]}"
        raise _refused(f"{place}: this is not written as JSON asks: {reason}.") from None
    except UnicodeDecodeError as wrong:
        raise _refused(f"This is not text in {wrong.encoding} (byte {wrong.start}).") from None
    except RecursionError:
        raise _refused("This is nested too deeply for a score sheet.") from None


def repeated_keys(value: object, path: Path = ()) -> Iterator[Path]:
    """Where a key stands that its object has more than once."""
    match value:
        case dict():
            if isinstance(value, RepeatedKeys):
                yield from ((*path, key) for key in value.repeated)
            for key, item in value.items():
                yield from repeated_keys(item, (*path, key))
        case list():
            for position, item in enumerate(value):
                yield from repeated_keys(item, (*path, position))
        case _:  # a plain value has no keys
            pass


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) == len(pairs):
        return found
    keys = [key for key, _ in pairs]
    marked = RepeatedKeys(found)
    marked.repeated = tuple(key for key in found if keys.count(key) > 1)
    return marked


def _whole(digits: str) -> int | float:
    return int(digits) if len(digits) <= _LONGEST_WHOLE_NUMBER else float(digits)


def _refused(sentence: str) -> SheetRefused:
    return SheetRefused((SheetFault("$", sentence),))
