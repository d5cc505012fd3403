"""Commands that work at the desk, on the database that the environment names."""

from collections.abc import Callable
from typing import TypeVar

import click

from events.refusals import Refusal
from service.app import open_desk
from service.config import read_settings
from service.desk.desk import Desk
from service.store import migrate
from service.store.errors import StoreError

Answer = TypeVar("Answer")


def at_the_desk(ask: Callable[[Desk], Answer]) -> Answer:
    """What is answered at the desk; one line on standard error where nothing can be."""
    desk = open_desk(read_settings())
    try:
        if not migrate.is_ready(desk.database):
            raise click.ClickException(
                f"{desk.database.engine.url!r} has not been brought up to date: "
                "run `ringfold database upgrade` first."
            )
        return ask(desk)
    except Refusal as refusal:
        raise click.ClickException(refusal.message) from refusal
    except StoreError as error:
        raise click.ClickException(str(error)) from error
    finally:
        desk.close()
