"""Whether the server lives, whether it can serve, and which release it is."""

from importlib.metadata import version

from flask import Blueprint, Response, jsonify

from service.http import guard
from service.http.here import desk
from service.http.problems import RETRY_SECONDS
from service.store import migrate
from service.store.errors import StoreError

blueprint = Blueprint("health", __name__)


def _lives() -> Response:
    return jsonify(status="alive")


def _is_ready() -> tuple[Response, int, dict[str, str]]:
    retry = {"Retry-After": str(RETRY_SECONDS)}
    try:
        if migrate.is_ready(desk().database):
            return jsonify(status="ready"), 200, {}
    except StoreError:
        return jsonify(status="the database does not answer"), 503, retry
    return jsonify(status="the database wants upgrading"), 503, retry


def _version() -> Response:
    return jsonify(ringfold=version("ringfold"), schema=migrate.newest())


for _address, _view in (("/healthz", _lives), ("/readyz", _is_ready), ("/version", _version)):
    guard.open_to(_view, guard.ANYONE)
    blueprint.add_url_rule(_address, _view.__name__.strip("_"), _view)
