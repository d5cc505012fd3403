"""Refusals point at what was sent, by the name it was sent under."""

import re
from collections.abc import Mapping

_STEP = re.compile(r"[^.\[\]]+")
_NUMBERS = ("back_number", "working_order")


def pointed(field: str | None, sent: object) -> str | None:
    """The field of a refusal as whoever sent the body knows it.

    The core speaks of an entry where a back number or a working-order number was sent, and of the
    kind of an outcome where the request says ``outcome``.
    """
    if field is None:
        return None
    path: list[str] = _STEP.findall(field)
    last = path.pop()
    for step in path:
        sent = _inside(sent, step)
    if not isinstance(sent, Mapping):
        return field
    named: str = last
    if last == "entry" and last not in sent:
        named = next((number for number in _NUMBERS if number in sent), last)
    elif last == "kind" and sent.get("kind") == "outcome":
        named = "outcome"
    return field.removesuffix(last) + named


def _inside(sent: object, step: str) -> object:
    if isinstance(sent, Mapping):
        return sent.get(step)
    if isinstance(sent, list) and step.isdigit() and int(step) < len(sent):
        return sent[int(step)]
    return None
