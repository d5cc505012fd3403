"""flask-smorest as this API uses it: problem documents, strict reading, roles on every address."""

import inspect
from collections.abc import Callable, Mapping, Sequence
from http import HTTPStatus
from typing import Any, TypeVar

from flask import Response, g
from flask_smorest import Api, Blueprint
from werkzeug.exceptions import HTTPException

from events.envelope import Role
from service.http import documented, guard
from service.http.documented import HEADERS, Plugin, ProblemSchema
from service.http.parsing import StrictParser
from service.http.problems import MEDIA_TYPE, Problem, Unwell, problem, respond

_OURS = "ours"
View = TypeVar("View", bound=Callable[..., Any])
_PLAIN = {
    400: "bad_request",
    404: "not_found",
    405: "method_not_allowed",
    406: "not_acceptable",
    413: "too_large",
    415: "not_json",
    500: "error",
}


class RingfoldApi(Api):
    """The API, whose every error is a problem document, in the document too."""

    def handle_http_exception(self, error: HTTPException) -> Response:
        """Any error that HTTP knows, as a problem document."""
        if isinstance(error, Unwell):
            return respond(error.problem, error.headers)
        status = error.code or HTTPStatus.INTERNAL_SERVER_ERROR
        if status < HTTPStatus.BAD_REQUEST:
            return Response(status=status, headers=error.get_headers())
        headers = {key: value for key, value in error.get_headers() if key != "Content-Type"}
        return respond(_of_http(error, status), headers)

    def _register_responses(self) -> None:
        for status in HTTPStatus:
            response: dict[str, Any] = {"description": status.phrase}
            if status >= HTTPStatus.BAD_REQUEST:
                shown = documented.example(status)
                content = {"schema": ProblemSchema} | ({"example": shown} if shown else {})
                response["content"] = {MEDIA_TYPE: content}
            self.spec.components.response(status.name, response, lazy=True)
        content = {MEDIA_TYPE: {"schema": ProblemSchema}}
        anything = {"description": "Any other problem.", "content": content}
        self.spec.components.response(self.DEFAULT_ERROR_RESPONSE_NAME, anything, lazy=True)

    def _init_spec(self, **options: Any) -> None:  # noqa: ANN401 - as the library hands them on
        super()._init_spec(**options, marshmallow_plugin=Plugin())
        self.spec.components.security_scheme("key", {"type": "http", "scheme": "bearer"})
        for name, header in HEADERS.items():
            self.spec.components.parameter(name, "header", header, lazy=True)


class Resource(Blueprint):
    """The addresses of one resource, each of which says who may call it."""

    ARGUMENTS_PARSER = StrictParser()

    def __init__(self, *args: Any, **options: Any) -> None:  # noqa: ANN401 - as the library's own
        super().__init__(*args, **options)
        self._prepare_doc_cbks.append(_add_ours)

    def allows(self, *roles: Role) -> Callable[[View], View]:
        """Open an address to these roles; to anyone, without a key, where none is named."""

        def decorate(view: View) -> View:
            guard.open_to(view, frozenset(roles))
            if not roles:
                return view
            said = f"For keys of the roles: {', '.join(roles)}."
            view.__doc__ = f"{inspect.cleandoc(view.__doc__ or '')}\n\n{said}\n"
            return _documented(view, roles=roles, answers=(401, 403))

        return decorate

    def commands(self, view: View) -> View:
        """Document the envelope of a command."""
        headers = ("IDEMPOTENCY_KEY", "EXPECTED_VERSION", "DEVICE")
        return _documented(view, headers=headers, answers=(400, 409, 412, 422, 503))

    def registers(self, view: View) -> View:
        """Document the envelope of what is written beside the log."""
        return _documented(view, headers=("IDEMPOTENCY_KEY",), answers=(400, 409, 422, 503))

    def on_device(self, view: View) -> View:
        """Document that the device in hand may be named."""
        return _documented(view, headers=("DEVICE",))

    def reads(self, view: View) -> View:
        """Document a document that is tagged with its version."""
        return _documented(view, headers=("KNOWN_VERSION",), answers=(304,))

    def refuses(self, *statuses: int) -> Callable[[View], View]:
        """Document further statuses that an address answers with."""
        return lambda view: _documented(view, answers=statuses)


def _documented(view: View, **parts: Sequence[Any]) -> View:
    """The view itself, which says more of itself; unlike the library's, no wrapper round it."""
    known = getattr(view, "_apidoc", {})
    ours: Mapping[str, Sequence[Any]] = known.get(_OURS, {})
    added = {name: (*ours.get(name, ()), *part) for name, part in parts.items()}
    view._apidoc = {**known, _OURS: {**ours, **added}}  # type: ignore[attr-defined]  # noqa: SLF001 - where the library keeps it
    return view


def _add_ours(doc: dict[str, Any], info: Mapping[str, Any], **_: object) -> dict[str, Any]:
    """Add to an operation what its view says of itself: roles, headers, statuses, the tag."""
    ours: Mapping[str, Sequence[Any]] = info.get(_OURS, {})
    if roles := ours.get("roles"):
        doc |= {"security": [{"key": []}], "x-roles": list(roles)}
    responses = doc.setdefault("responses", {})
    for status in ours.get("answers", ()):
        responses.setdefault(status, HTTPStatus(status).name)
    headers = ours.get("headers", ())
    doc.setdefault("parameters", []).extend(headers)
    if {"EXPECTED_VERSION", "KNOWN_VERSION"} & set(headers):
        for status in info.get("success_status_codes", ()):
            responses[status].setdefault("headers", {})["ETag"] = "ETAG"
    return doc


def _of_http(error: HTTPException, status: int) -> Problem:
    code = _PLAIN.get(status)
    if code is None:
        name = error.name
        return Problem(type="about:blank", title=name, status=status, code=f"http_{status}")
    if status == HTTPStatus.INTERNAL_SERVER_ERROR:
        return problem(code, incident=g.get("incident"))
    return problem(code)
