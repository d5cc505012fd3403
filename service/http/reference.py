"""The contract as a page for people: made here, without a script, with nothing from elsewhere."""

import base64
import hashlib
import json
import re
from collections.abc import Iterator
from typing import Any

import msgspec
from flask import Flask, Response
from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup, escape

from service.http import guard
from service.http.files import hand_over

METHODS = ("get", "put", "post", "patch", "delete")
STYLE = (
    "body{font:1rem/1.5 system-ui,sans-serif;margin:2rem auto;max-width:60rem;padding:0 1rem}"
    "h3{margin-top:2.5rem}pre{background:#f4f4f4;color:#111;overflow-x:auto;padding:1rem}"
    "code{font-family:ui-monospace,monospace}th,td{padding:.2rem .8rem .2rem 0;text-align:left;"
    "vertical-align:top}"
)
_DIGEST = base64.b64encode(hashlib.sha256(STYLE.encode()).digest()).decode()
POLICY = (
    f"default-src 'none'; style-src 'sha256-{_DIGEST}'; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'none'"
)
_pages = Environment(
    loader=PackageLoader("service.http", "templates"),
    autoescape=True,
    undefined=StrictUndefined,
    trim_blocks=True,
    lstrip_blocks=True,
)


class Part(msgspec.Struct, frozen=True, kw_only=True):
    """A body that is asked for or answered: when, its media type, and an example."""

    name: str
    media_type: str
    example: str


class Operation(msgspec.Struct, frozen=True, kw_only=True):
    """One thing that can be asked."""

    anchor: str
    method: str
    path: str
    summary: str
    paragraphs: tuple[Markup, ...]
    parameters: tuple[dict[str, Any], ...]
    parts: tuple[Part, ...]


def serve(app: Flask, document: dict[str, Any]) -> None:
    """Let anyone read the contract at ``/reference``."""
    body = page(document).encode()

    def reference() -> Response:
        answer = hand_over(body, "text/html", vary="Accept")
        answer.headers["Content-Security-Policy"] = POLICY
        return answer

    app.add_url_rule("/reference", "reference", guard.open_to(reference, guard.ANYONE))


def page(document: dict[str, Any]) -> str:
    """The contract as HTML."""
    groups: dict[str, list[Operation]] = {tag["name"]: [] for tag in document.get("tags", ())}
    for path, item in document["paths"].items():
        for method in METHODS:
            if method in item:
                [tag] = item[method]["tags"]
                groups.setdefault(tag, []).append(_operation(document, path, method))
    return _pages.get_template("reference.html").render(
        title=document["info"]["title"],
        version=document["info"]["version"],
        paragraphs=_paragraphs(document["info"]["description"]),
        style=Markup(STYLE),  # noqa: S704 - a constant of ours
        groups=groups,
    )


def _operation(document: dict[str, Any], path: str, method: str) -> Operation:
    item = document["paths"][path]
    operation = item[method]
    named = [*item.get("parameters", ()), *operation.get("parameters", ())]
    return Operation(
        anchor=re.sub(r"[^a-z0-9]+", "-", f"{method} {path}".lower()).strip("-"),
        method=method.upper(),
        path=path,
        summary=operation["summary"],
        paragraphs=_paragraphs(operation.get("description", "")),
        parameters=tuple(_resolved(document, each) for each in named),
        parts=tuple(_parts(document, operation)),
    )


def _parts(document: dict[str, Any], operation: dict[str, Any]) -> Iterator[Part]:
    asked = operation.get("requestBody", {})
    yield from _bodies("It takes", asked)
    for status, response in operation["responses"].items():
        if status.startswith("2"):
            yield from _bodies(f"It answers {status} with", _resolved(document, response))


def _bodies(name: str, of: dict[str, Any]) -> Iterator[Part]:
    for media_type, content in of.get("content", {}).items():
        shown = content.get("example", "")
        text = shown if isinstance(shown, str) else json.dumps(shown, indent=2, ensure_ascii=False)
        yield Part(name=name, media_type=media_type, example=text)


def _resolved(document: dict[str, Any], of: dict[str, Any]) -> dict[str, Any]:
    """What a reference of the document stands for, or the thing itself."""
    if "$ref" not in of:
        return of
    found: dict[str, Any] = document
    for step in of["$ref"].removeprefix("#/").split("/"):
        found = found[step]
    return found


def _paragraphs(text: str) -> tuple[Markup, ...]:
    """Paragraphs with code and strong words, as descriptions mark them."""
    return tuple(_marked(each) for each in text.split("\n\n") if each.strip())


def _marked(text: str) -> Markup:
    safe = str(escape(" ".join(text.split())))
    safe = re.sub(r"`([^`]+)`", r"<code>\1</code>", safe)
    safe = re.sub(r"\*\*([^*]+)\*\*", r"<strong>\1</strong>", safe)
    return Markup(safe)  # noqa: S704 - escaped above
