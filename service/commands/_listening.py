"""Where a command listens."""

import click

from service.server import Address


def listening_at(host: str, port: int) -> Address:
    """The address; refused in one line where this machine cannot listen there."""
    address = Address(host, port)
    try:
        address.check_free()
    except OSError as error:
        said = f"Nothing can listen at {address.bind}: {error.strerror or error}."
        raise click.ClickException(f"{said} Choose another with --port.") from error
    return address
