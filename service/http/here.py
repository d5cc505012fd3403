"""What the running application carries with it."""

from flask import Flask, current_app

from service.desk.desk import Desk

_DESK = "ringfold-desk"


def install(app: Flask, desk: Desk) -> None:
    """Let every request of the application find the desk."""
    app.extensions[_DESK] = desk


def desk_of(app: Flask) -> Desk:
    """The desk of an application."""
    known: Desk = app.extensions[_DESK]
    return known


def desk() -> Desk:
    """The desk of the application that serves this request."""
    return desk_of(current_app)
