"""``ringfold bundle``: a class with everything that proves it, in one file."""

from pathlib import Path

import click

from service.commands._trust import trusted, write


@click.command("bundle")
@click.argument("class_id", metavar="CLASS")
@click.option(
    "--out",
    required=True,
    type=click.Path(dir_okay=False, path_type=Path),
    help="The file to write it to.",
)
@click.option(
    "--since",
    type=click.IntRange(min=0),
    help="Events of an earlier checkpoint: prove also that the log only grew from there.",
)
def command(class_id: str, out: Path, since: int | None) -> None:
    """Write the bundle of a class: its events with their proofs, its rule book, its results.

    Nobody needs this database to check it: `ringfold verify` does, with the log's public keys.
    """
    with trusted() as trust:
        data = trust.bundle(class_id, since)
        write(out, data)
        click.echo(f"{click.format_filename(out)}: class {class_id}, {len(data)} bytes.")
