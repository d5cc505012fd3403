"""The one place where Ringfold is put together."""

from typing import NamedTuple

from flask import Response, request

from service.config import Settings
from service.desk.desk import Desk
from service.http import contract, guard, here, limits
from service.http.here import desk_of
from service.http.install import Application, install
from service.http.limits import Counting, Limiter
from service.http.limits_shared import SharedLimiter
from service.pages import views as pages
from service.store.engine import Database
from service.trust.settings import trust_settings
from service.workers.compose import SettingUnusable, reach_of
from service.workers.start import Workers, workers

READING = frozenset({"GET", "HEAD", "OPTIONS"})
"""What appends nothing, and so wakes nobody."""


def open_desk(settings: Settings) -> Desk:
    """The desk on the database of these settings; nothing is read from it yet."""
    return Desk(Database(settings.database))


def create_app(settings: Settings) -> Application:
    """The application on the database of these settings."""
    app = Application("ringfold", static_folder=None)
    install(app, open_desk(settings))
    here.furnish(app, trust_settings(settings), reach_of(settings))
    for route in pages.routes(lambda: desk_of(app)):
        view = guard.open_to(route.view, guard.ANYONE)
        app.add_url_rule(route.rule, f"pages.{route.name}", view, methods=route.methods)
    return app


class Serving(NamedTuple):
    """The application, and whoever does the work that its commands leave."""

    app: Application
    workers: Workers


def create_serving_app(settings: Settings) -> Serving:
    """The application with its workers begun, which are woken after each command.

    Raises ``SettingUnusable``, and ``TrustError`` where the log cannot be signed for.
    """
    app = create_app(settings)
    limits.limit(app, counting(settings))
    doing = workers(settings, desk_of(app))

    @app.after_request
    def wake(response: Response) -> Response:
        if request.method not in READING:
            doing.wake()
        return response

    doing.start()
    return Serving(app, doing)


def counting(settings: Settings) -> Counting | None:
    """Whoever counts what clients ask, together with other processes where there is a Redis.

    ``None`` for no limit; ``SettingUnusable``.
    """
    most = requests_of(settings)
    if not most:
        return None
    if settings.redis is None:
        return Limiter(most)
    try:
        return SharedLimiter(most, settings.redis)
    except ValueError as error:
        raise SettingUnusable(f"RINGFOLD_REDIS: {error}") from error


def requests_of(settings: Settings) -> int:
    """How much each client may ask in a minute, 0 for no limit; ``SettingUnusable``."""
    asked = settings.requests_per_minute
    if not (asked.isascii() and asked.isdigit() and len(asked) < 10):  # noqa: PLR2004 - a billion
        raise SettingUnusable("RINGFOLD_REQUESTS_PER_MINUTE: it is a whole number, 0 for no limit")
    return int(asked)


def contract_text() -> str:
    """The contract of the HTTP interface, which no settings change."""
    app = Application("ringfold", static_folder=None)
    return contract.text(install(app, open_desk(Settings())))
