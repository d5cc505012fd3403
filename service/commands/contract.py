"""``ringfold contract``: the published contract of the HTTP interface, as the code has it."""

from pathlib import Path

import click

from service.app import contract_text


@click.command("contract")
@click.option(
    "--write",
    "path",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Write it to this file instead of printing it.",
)
def command(path: Path | None) -> None:
    """Print the OpenAPI document of the HTTP interface, or write it to a file."""
    text = contract_text()
    if path is None:
        click.echo(text, nl=False)
    else:
        path.write_text(text, encoding="utf-8")
