"""flask-smorest as this API uses it: problem documents, strict reading, roles on every address."""

import functools
import inspect
from collections.abc import Callable, Mapping
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

_CARRIED = "carried_headers"
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
        self._prepare_doc_cbks.append(_add_headers)

    def allows(self, *roles: Role) -> Callable[[View], View]:
        """Open an address to these roles; to anyone, without a key, where none is named."""

        def decorate(view: View) -> View:
            guard.open_to(view, frozenset(roles))
            if not roles:
                return view
            said = f"For keys of the roles: {', '.join(roles)}."
            described: View = self.doc(security=[{"key": []}], **{"x-roles": list(roles)})(view)
            described.__doc__ = f"{inspect.cleandoc(view.__doc__ or '')}\n\n{said}\n"
            return self._may_answer(401, 403)(described)

        return decorate

    def commands(self, view: View) -> View:
        """Document the envelope of a command."""
        described = _carrying(view, "IDEMPOTENCY_KEY", "EXPECTED_VERSION", "DEVICE")
        return self._may_answer(400, 409, 412, 422, 503)(described)

    def registers(self, view: View) -> View:
        """Document the envelope of what is written beside the log."""
        return self._may_answer(400, 409, 422, 503)(_carrying(view, "IDEMPOTENCY_KEY"))

    def on_device(self, view: View) -> View:
        """Document that the device in hand may be named."""
        return _carrying(view, "DEVICE")

    def reads(self, view: View) -> View:
        """Document a document that is tagged with its version."""
        return self._may_answer(304)(_carrying(view, "KNOWN_VERSION"))

    def refuses(self, *statuses: int) -> Callable[[View], View]:
        """Document further statuses that an address answers with."""
        return self._may_answer(*statuses)

    def _may_answer(self, *statuses: int) -> Callable[[View], View]:
        def decorate(view: View) -> View:
            for status in statuses:
                view = self.alt_response(status, HTTPStatus(status).name)(view)
            return view

        return decorate


def _carrying(view: View, *headers: str) -> View:
    """A view that says which headers of ours it reads."""

    @functools.wraps(view)
    def carrying(*args: Any, **values: Any) -> Any:  # noqa: ANN401 - whatever the view takes
        return view(*args, **values)

    carrying._apidoc = {**getattr(view, "_apidoc", {}), _CARRIED: headers}  # type: ignore[attr-defined]  # noqa: SLF001 - where the library keeps what it documents
    return carrying  # type: ignore[return-value]


def _add_headers(doc: dict[str, Any], info: Mapping[str, Any], **_: object) -> dict[str, Any]:
    """Add the headers to an operation's parameters, and the tag to its answers."""
    carried = info.get(_CARRIED, ())
    doc.setdefault("parameters", []).extend(carried)
    if {"EXPECTED_VERSION", "KNOWN_VERSION"} & set(carried):
        for status in info.get("success_status_codes", ()):
            doc["responses"][status].setdefault("headers", {})["ETag"] = "ETAG"
    return doc


def _of_http(error: HTTPException, status: int) -> Problem:
    code = _PLAIN.get(status)
    if code is None:
        name = error.name
        return Problem(type="about:blank", title=name, status=status, code=f"http_{status}")
    if status == HTTPStatus.INTERNAL_SERVER_ERROR:
        return problem(code, incident=g.get("incident"))
    return problem(code)
