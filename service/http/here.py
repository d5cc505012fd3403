"""What the running application carries with it."""

from flask import Flask, current_app

from service.desk.desk import Desk
from service.reach import Reach
from service.trust.settings import TrustSettings
from service.trust.trust import Trust

_DESK = "ringfold-desk"
_TRUST = "ringfold-trust"
_REACH = "ringfold-reach"


def install(app: Flask, desk: Desk) -> None:
    """Let every request of the application find the desk."""
    app.extensions[_DESK] = desk


def furnish(app: Flask, trust: TrustSettings, reach: Reach) -> None:
    """Tell the application under which name the log signs, and where messages may be sent."""
    app.extensions[_TRUST] = trust
    app.extensions[_REACH] = reach


def desk_of(app: Flask) -> Desk:
    """The desk of an application."""
    known: Desk = app.extensions[_DESK]
    return known


def trust_of(app: Flask) -> Trust:
    """What proves the log of an application's desk."""
    settings: TrustSettings = app.extensions[_TRUST]
    known = desk_of(app)
    return Trust(known.database, settings, known.clock)


def desk() -> Desk:
    """The desk of the application that serves this request."""
    return desk_of(current_app)


def trust() -> Trust:
    """What proves the log that this request is about."""
    return trust_of(current_app)


def reach() -> Reach:
    """Where messages to subscribers may be sent."""
    known: Reach = current_app.extensions[_REACH]
    return known
