"""The one place where Ringfold is put together."""

from service.config import Settings
from service.desk.desk import Desk
from service.http.install import Application, install
from service.store.engine import Database


def create_app(settings: Settings) -> Application:
    """The application on the database of these settings."""
    app = Application("ringfold", static_folder=None)
    install(app, Desk(Database(settings.database)))
    return app
