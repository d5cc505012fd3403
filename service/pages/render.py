"""Pages as answers: no script, nothing from elsewhere, and a page for every refusal too."""

from collections.abc import Callable
from functools import wraps
from http import HTTPStatus
from typing import ParamSpec

from flask import Response, make_response, request
from jinja2 import Environment, PackageLoader, StrictUndefined

from events.half_points import to_text
from events.refusals import Refusal
from events.scoring.exact import to_words
from service.desk import keys
from service.desk.caller import Caller
from service.desk.desk import Desk

COOKIE = "ringfold_key"
POLICY = (
    "default-src 'none'; style-src 'self'; img-src 'self'; base-uri 'none'; form-action 'self'; "
    "frame-ancestors 'none'"
)
EVERYBODY = Caller(key="noticeboard", role="public")
P = ParamSpec("P")

_pages = Environment(
    loader=PackageLoader("service.pages", "templates"),
    autoescape=True,
    undefined=StrictUndefined,
    trim_blocks=True,
    lstrip_blocks=True,
)
_pages.filters["points"] = lambda half: "" if half is None else to_text(half)
_pages.filters["signed"] = lambda half: "" if half is None else to_text(half, signed=True)
_pages.filters["figure"] = lambda value: "" if value is None else to_words(value)
_pages.filters["money"] = lambda cents: f"{cents // 100}.{cents % 100:02}"
_pages.filters["words"] = lambda code: code.replace("_", " ")
_pages.filters["told"] = lambda tag: tag.replace(".", ": ").replace("_", " ")
_pages.filters["day"] = lambda day: f"{day:%-d %B %Y}"
_pages.filters["weekday"] = lambda day: f"{day:%A %-d %B}"
_pages.filters["seconds"] = lambda ms: f"{ms // 1000}.{ms % 1000:03}"


def page(template: str, caller: Caller, status: int = 200, **values: object) -> Response:
    """The template filled in; ``caller`` is whoever is signed in, or everybody."""
    body = _pages.get_template(template).render(
        signed_in=None if caller is EVERYBODY else caller, **values
    )
    response = make_response(body, status)
    response.headers["Content-Security-Policy"] = POLICY
    response.headers["Cache-Control"] = "private, no-cache"
    response.headers["Vary"] = "Cookie"
    return response


def visitor(desk: Desk) -> Caller:
    """Whoever holds the key in the visitor's cookie; everybody without a key that is good."""
    presented = request.cookies.get(COOKIE)
    known = keys.recognise(desk, presented) if presented else None
    return known or EVERYBODY


def readable(find: Callable[[], Desk], view: Callable[P, Response]) -> Callable[P, Response]:
    """The view, which answers a refusal with a page that says what is the matter."""

    @wraps(view)
    def answered(*args: P.args, **kwargs: P.kwargs) -> Response:
        try:
            return view(*args, **kwargs)
        except Refusal as refused:
            status = HTTPStatus.FORBIDDEN if refused.code in _CLOSED else HTTPStatus.NOT_FOUND
            return page("refused.html", visitor(find()), status, message=refused.message)

    return answered


_CLOSED = frozenset({"card_not_open", "other_show", "role_not_allowed"})
