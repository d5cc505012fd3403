"""The one place where Ringfold is put together."""

from service.config import Settings
from service.desk.desk import Desk
from service.http import contract
from service.http.install import Application, install
from service.store.engine import Database


def open_desk(settings: Settings) -> Desk:
    """The desk on the database of these settings; nothing is read from it yet."""
    return Desk(Database(settings.database))


def create_app(settings: Settings) -> Application:
    """The application on the database of these settings."""
    app = Application("ringfold", static_folder=None)
    install(app, open_desk(settings))
    return app


def contract_text() -> str:
    """The contract of the HTTP interface, which no settings change."""
    app = Application("ringfold", static_folder=None)
    return contract.text(install(app, open_desk(Settings())))
