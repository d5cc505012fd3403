"""Reading what a request carries, strictly, and saying of each fault where it is."""

import json
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NoReturn

import flask
import marshmallow
import msgspec
from marshmallow import RAISE
from webargs import core
from webargs.flaskparser import FlaskParser

from service.http.problems import Fault, Problem, Unwell, problem

Messages = Mapping[Any, Any] | Sequence[Any]
_PLAIN = {
    "Field may not be null.": "It may not be null.",
    "Invalid input type.": "It must be an object.",
    "Missing data for required field.": "It is missing.",
    "Not a valid list.": "It must be a list.",
    "Not a valid mapping type.": "It must be an object.",
    "Not a valid string.": "It must be text.",
    "String does not match expected pattern.": "It is not written as the contract's pattern says.",
    "Unknown field.": "Nothing of this name is known here.",
}
"""The library's messages in plainer words."""


class StrictParser(FlaskParser):
    """Bodies are JSON as RFC 8259 has it, and nothing unknown passes in silence."""

    DEFAULT_UNKNOWN_BY_LOCATION = {  # noqa: RUF012 - the library's own way to be told
        **FlaskParser.DEFAULT_UNKNOWN_BY_LOCATION,
        "query": RAISE,
    }

    def _raw_load_json(self, req: flask.Request) -> Any:  # noqa: ANN401 - a body may be anything
        body = req.get_data(cache=True)
        if not body:
            return core.missing
        if not req.is_json:
            raise Unwell(problem("not_json", f"It came as {req.mimetype or 'nothing'}."))
        coding = req.headers.get("Content-Encoding", "identity")
        if coding.strip().lower() != "identity":
            detail = f"It came as {coding!r}; send it as it is."
            raise Unwell(
                problem("content_coding_unknown", detail, field="Content-Encoding"),
                {"Accept-Encoding": "identity"},
            )
        try:
            found = msgspec.json.decode(body)
            json.loads(body, object_pairs_hook=_once)
        except _Twice as twice:
            detail = f"{twice.name!r} stands twice in one object: which is meant?"
            raise Unwell(problem("bad_json", detail, field=twice.name)) from twice
        except (msgspec.DecodeError, UnicodeDecodeError) as error:
            raise Unwell(problem("bad_json", f"{error}.")) from error
        except RecursionError as error:
            raise Unwell(problem("bad_json", "It is nested too deeply.")) from error
        return found

    def handle_error(
        self,
        error: marshmallow.ValidationError,
        req: flask.Request,
        schema: marshmallow.Schema,
        *,
        error_status_code: int | None,
        error_headers: Mapping[str, str] | None,
    ) -> NoReturn:
        """Answer with every fault there is."""
        del req, schema, error_status_code, error_headers
        raise Unwell(invalid(tuple(faults(_inside(error.messages))))) from error


class _Twice(Exception):
    """A name stands twice in one object, where RFC 8259 leaves open which one counts."""

    def __init__(self, name: str) -> None:
        super().__init__(name)
        self.name = name


def _once(pairs: list[tuple[str, object]]) -> None:
    names: set[str] = set()
    for name, _ in pairs:
        if name in names:
            raise _Twice(name)
        names.add(name)


def invalid(found: Sequence[Fault]) -> Problem:
    """The problem document that lists these faults."""
    said = " ".join(f"{each.field or 'The body'}: {each.detail}" for each in found)
    field = found[0].field if len(found) == 1 else None
    return problem("invalid", said, field=field or None, errors=found)


def faults(messages: Messages, path: str = "") -> Iterator[Fault]:
    """Every message with its place, ``actions[2].mark``."""
    if isinstance(messages, Mapping):
        for key, inside in messages.items():
            yield from faults(inside, _step(path, key))
    elif isinstance(messages, str):
        yield Fault(path, _PLAIN.get(messages, messages))
    else:
        for each in messages:
            yield from faults(each, path)


def _inside(messages: Messages) -> Messages:
    """The messages without the name of the part of the request that all of them are about."""
    if isinstance(messages, Mapping) and len(messages) == 1:
        inside: Messages = next(iter(messages.values()))
        return inside
    return messages


def _step(path: str, key: object) -> str:
    if key == "_schema":
        return path
    if isinstance(key, int):
        return f"{path}[{key}]"
    return f"{path}.{key}" if path else str(key)
