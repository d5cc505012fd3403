"""Commands that work at the desk, on the database that the environment names."""

from collections.abc import Callable
from typing import TypeVar

import click

from events.refusals import Refusal
from service.commands._database import make_ready, must_exist, opened
from service.config import read_settings
from service.desk.desk import Desk

Answer = TypeVar("Answer")


def at_the_desk(ask: Callable[[Desk], Answer], *, may_be_new: bool = False) -> Answer:
    """What is answered at the desk; one line on standard error where nothing can be.

    A SQLite file that is not there is made only where the database ``may_be_new``.
    """
    with opened(read_settings()) as database:
        if not may_be_new:
            must_exist(database)
        make_ready(database)
        try:
            return ask(Desk(database))
        except Refusal as refusal:
            raise click.ClickException(refusal.message) from refusal
