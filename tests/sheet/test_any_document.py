"""Whatever stands in a file, it is scored or refused with faults in one line each."""

import copy
import json
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.sheet.sheets import faults, result
from tests.sheet.test_json_form import AGREED

PLAIN = st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8)
KEYS = st.sampled_from(["entry", "marks", "points", "code", "kind", "order", "mark", "source"])
ANYTHING = st.recursive(
    PLAIN, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEYS | st.text(), inner)
)


def _places(value: object) -> list[list[Any]]:
    """The path of every value in a document, as steps."""
    found: list[list[Any]] = [[]]
    steps: Any = ()
    if isinstance(value, dict):
        steps = value.items()
    elif isinstance(value, list):
        steps = enumerate(value)
    for step, item in steps:
        found += [[step, *rest] for rest in _places(item)]
    return found


WHERE = [place for place in _places(AGREED) if place]


def _told(document: object) -> list[str]:
    found = faults(document)
    assert all(line.startswith("$") and line.isprintable() and ": " in line for line in found)
    return found


def _check(document: object) -> None:
    if not _told(document):
        json.dumps(result(document), allow_nan=False)


@settings(max_examples=400)
@given(st.lists(st.tuples(st.sampled_from(WHERE), ANYTHING), min_size=1, max_size=3))
def test_a_sheet_with_anything_in_any_place_is_scored_or_refused(
    changes: list[tuple[list[Any], object]],
) -> None:
    document = copy.deepcopy(AGREED)
    for steps, value in changes:
        part: Any = document
        for step in steps[:-1]:
            part = part[step] if _has(part, step) else None
        if _has(part, steps[-1]):
            part[steps[-1]] = value
    _check(document)


@given(ANYTHING)
def test_any_document_is_scored_or_refused(document: object) -> None:
    _check(document)


@given(st.binary(max_size=60))
def test_bytes_without_a_sheet_in_them_are_refused(content: bytes) -> None:
    assert _told(content)


def _has(part: object, step: object) -> bool:
    if isinstance(part, list):
        return isinstance(step, int) and step < len(part)
    return isinstance(part, dict) and step in part
