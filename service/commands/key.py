"""``ringfold key``: keys made, listed and revoked by whoever runs the server."""

import click
from marshmallow import ValidationError

from service.commands._desk import at_the_desk
from service.desk import keys
from service.http.fields import Line
from service.store.keys import ROLES, ApiKey, KeyRole


def _one_line(context: click.Context, option: click.Parameter, label: str) -> str:
    """The label as the HTTP interface would take it."""
    del context, option
    try:
        return Line(80).deserialize(label)
    except ValidationError as error:
        raise click.BadParameter(" ".join(error.messages)) from error


@click.group("key")
def command() -> None:
    """Make, list and revoke the keys of the HTTP interface.

    The database is the one that RINGFOLD_DATABASE names.
    """


@command.command("make")
@click.option("--role", type=click.Choice(ROLES), required=True, help="What the key is good for.")
@click.option("--label", required=True, callback=_one_line, help="Whose it is, or where it lies.")
@click.option("--show", help="The id of the only show it is good for.")
@click.option("--seat", help="The judge's seat that a scribe writes for, such as A.")
@click.option("--federation", help="The federation whose seasons alone its key keeps.")
def make(
    role: KeyRole, label: str, show: str | None, seat: str | None, federation: str | None
) -> None:
    """Make a key and print it, this once."""
    made = at_the_desk(
        lambda desk: keys.make(
            desk, None, role, label=label, show=show, seat=seat, federation=federation
        ),
        may_be_new=True,
    )
    click.echo(made.presented)
    click.echo("Keep it: only a hash of it is stored, and it is not shown again.", err=True)


@command.command("list")
def listed() -> None:
    """List every key that was ever made, without its secret."""
    for key in at_the_desk(keys.every):
        click.echo(_line(key))


@command.command("revoke")
@click.argument("key_id")
def revoke(key_id: str) -> None:
    """Make a key worthless from now on; what it wrote stays."""
    click.echo(_line(at_the_desk(lambda desk: keys.revoke(desk, None, key_id))))


def _line(key: ApiKey) -> str:
    parts = (key.show_id, key.seat and f"seat {key.seat}", key.federation)
    bound = " ".join(part for part in parts if part)
    state = f"revoked {key.revoked_at:%Y-%m-%d %H:%M}Z" if key.revoked_at else "in force"
    return f"{key.id}  {key.role:<10}  {bound or 'all shows':<24}  {state:<26}  {key.label}"
