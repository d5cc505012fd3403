"""The whole HTTP interface, put into an application."""

import secrets
from types import TracebackType

import msgspec
from flask import Flask, Response, current_app, g, request
from flask.json.provider import DefaultJSONProvider
from werkzeug.routing import BaseConverter

from events.refusals import Refusal
from service.desk.desk import Desk
from service.http import (
    actions,
    awards,
    cards,
    changes,
    class_changes,
    classes,
    compression,
    contract,
    divisions,
    draw,
    eligibility,
    gate,
    guard,
    health,
    here,
    importing,
    inquiry,
    keys,
    limits,
    live,
    numbers,
    papers,
    people,
    placing,
    points_tables,
    prize_money,
    problem_pages,
    proofs,
    protests,
    publications,
    reference,
    registered_facts,
    reports,
    results,
    rounds,
    rulebooks,
    schedule,
    seasons,
    show_awards,
    shows,
    standings,
    story,
    subscriptions,
    work,
)
from service.http.api import RingfoldApi
from service.http.pointing import pointed
from service.http.problems import of_refusal, of_store, problem, respond
from service.store.errors import StoreError
from service.trust.errors import TrustError

MOST_BYTES = 2 * 1024 * 1024
"""No request is larger; a batch of 500 actions is a twentieth of it."""

RESOURCES = (
    shows,
    schedule,
    numbers,
    rulebooks,
    people,
    registered_facts,
    divisions,
    eligibility,
    classes,
    class_changes,
    importing,
    draw,
    gate,
    actions,
    cards,
    placing,
    live,
    rounds,
    reports,
    awards,
    prize_money,
    results,
    publications,
    changes,
    proofs,
    subscriptions,
    protests,
    inquiry,
    story,
    papers,
    points_tables,
    seasons,
    standings,
    show_awards,
    keys,
    work,
)
SECURITY = {
    "Content-Security-Policy": "default-src 'none'; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'none'",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
}
"""What every answer carries unless it says otherwise itself."""


class IdConverter(BaseConverter):
    """An id in an address."""

    regex = r"[A-Za-z0-9][A-Za-z0-9._~-]{0,63}"


class BookConverter(BaseConverter):
    """A rule book's id, or its digest."""

    regex = r"sha256:[0-9a-f]{64}|[a-z0-9]+(?:-[a-z0-9]+)*"


class Json(DefaultJSONProvider):
    """JSON in UTF-8, with members in the order in which they are documented."""

    sort_keys = False
    ensure_ascii = False


class Application(Flask):
    """Flask, which gives every unforeseen error a number that the client is told."""

    json_provider_class = Json

    def log_exception(
        self,
        exc_info: tuple[type[BaseException], BaseException, TracebackType | None]
        | tuple[None, None, None],
    ) -> None:
        """Write the error to the journal under a new incident number."""
        g.incident = secrets.token_hex(8)
        self.logger.error("incident %s", g.incident, exc_info=exc_info)


def install(app: Flask, desk: Desk) -> RingfoldApi:
    """Let the application serve the interface on that desk."""
    here.install(app, desk)
    app.config.update(
        API_TITLE="Ringfold",
        API_VERSION="v1",
        OPENAPI_VERSION="3.1.0",
        API_SPEC_OPTIONS={"info": {"description": contract.DESCRIPTION}},
        MAX_CONTENT_LENGTH=MOST_BYTES,
    )
    app.url_map.converters.update(id=IdConverter, book=BookConverter)
    for look in (compression.take_marks_off, limits.check, guard.check_caller):
        app.before_request(look)
    for finish in (compression.compress, limits.tell, _secure):  # the last of them comes first
        app.after_request(finish)
    app.register_error_handler(Refusal, _of_refusal)
    app.register_error_handler(StoreError, _of_store)
    app.register_error_handler(TrustError, _of_trust)
    api = RingfoldApi(app)
    api.register_converter(IdConverter, _documented)
    api.register_converter(BookConverter, _documented)
    for resource in RESOURCES:
        api.register_blueprint(resource.blueprint)
    app.register_blueprint(problem_pages.blueprint)
    app.register_blueprint(health.blueprint)
    contract.serve(app, api)
    reference.serve(app, contract.document(api))
    return api


def _secure(response: Response) -> Response:
    for name, value in SECURITY.items():
        response.headers.setdefault(name, value)
    response.headers.setdefault("Cache-Control", "no-store")
    return response


def _of_refusal(refusal: Refusal) -> Response:
    answer = of_refusal(refusal)
    sent = request.get_json(silent=True)
    return respond(msgspec.structs.replace(answer, field=pointed(answer.field, sent)))


def _of_store(error: StoreError) -> Response:
    answer, headers = of_store(error)
    return respond(answer, headers)


def _of_trust(error: TrustError) -> Response:
    # What an operator has to put right goes into the journal, and nothing of it to others.
    current_app.logger.error("%s: %s", error.code, error.message)
    return respond(problem("log_not_provable"))


def _documented(converter: BaseConverter) -> dict[str, str]:
    return {"type": "string", "pattern": f"^({converter.regex})$"}
