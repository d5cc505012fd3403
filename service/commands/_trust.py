"""How commands open what proves the log, on the database that the environment names."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import click

from events.refusals import Refusal
from service.commands._database import SAYS, must_exist, named, opened
from service.config import read_settings
from service.store.readiness import standing
from service.trust.errors import TrustError
from service.trust.settings import trust_settings
from service.trust.trust import Trust


@contextmanager
def trusted() -> Iterator[Trust]:
    """The proofs and keys of the log; what cannot be given is said in one line."""
    settings = read_settings()
    with opened(settings) as database:
        must_exist(database)
        found = standing(database)
        if found != "ready":
            raise click.ClickException(f"{named(database)} {SAYS[found]}.")
        try:
            yield Trust(database, trust_settings(settings))
        except (TrustError, Refusal) as error:
            raise click.ClickException(f"{error.message.rstrip('.')}.") from error


def write(path: Path, data: bytes) -> None:
    """Write a file, or say in one line why it cannot be."""
    try:
        path.write_bytes(data)
    except OSError as error:
        name = click.format_filename(path)
        raise click.ClickException(f"{name}: {error.strerror or error}") from error
