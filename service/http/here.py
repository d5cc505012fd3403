"""What the running application carries with it."""

from flask import Flask, current_app

from service.desk.desk import Desk

_DESK = "ringfold-desk"


def install(app: Flask, desk: Desk) -> None:
    """Let every request of the application find the desk."""
    app.extensions[_DESK] = desk


def desk() -> Desk:
    """The desk of the application that serves this request."""
    known: Desk = current_app.extensions[_DESK]
    return known
