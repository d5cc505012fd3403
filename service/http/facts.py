"""Facts of a card inside other requests: in a correction, in a what-if."""

from typing import Any

from marshmallow import ValidationError

from service.http.action_kinds import FACTS
from service.http.action_schemas import fact_schema
from service.http.parsing import faults, invalid
from service.http.problems import Fault, Unwell


def fact_fields(fact: object, path: str) -> tuple[str, dict[str, Any]]:
    """The kind of the fact that was sent, and its own fields; or a problem that names ``path``."""
    given = fact if isinstance(fact, dict) else {}
    kind = str(given.get("kind"))
    if kind not in FACTS:
        raise Unwell(invalid([Fault(f"{path}.kind", f"It must be one of {', '.join(FACTS)}.")]))
    try:
        read: dict[str, Any] = fact_schema(kind).load(given)
    except ValidationError as error:
        raise Unwell(invalid(tuple(faults(error.messages, path)))) from error
    del read["kind"]
    return kind, read
