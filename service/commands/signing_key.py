"""``ringfold signing-key``: the keys that sign in the log's name."""

import click

from service.commands._trust import trusted
from service.store.signing_keys import KeptKey


@click.group("signing-key")
def command() -> None:
    """Make the keys that sign checkpoints and results, let others follow them, retire them.

    They lie in the folder that RINGFOLD_KEYS_DIR names (beside a SQLite file by default), encrypted
    if RINGFOLD_KEYS_PASSPHRASE is set, and sign for the log that RINGFOLD_ORIGIN names. Keep that
    folder out of the backups of the database.
    """


@command.command("make")
def make() -> None:
    """Make the log's first key."""
    with trusted() as trust:
        _tell(trust.keys.make(), "Hand this key to whoever checks the log's results:")


@command.command("rotate")
def rotate() -> None:
    """Make one more key; it signs beside the old one until that is retired.

    Hand it out first, and retire the old one once everybody has it.
    """
    with trusted() as trust:
        _tell(trust.keys.rotate(), "Hand this key out, then retire the old one:")


@command.command("retire")
@click.argument("key_id", metavar="KEY")
def retire(key_id: str) -> None:
    """Let a key sign no more; KEY is its eight digits, as `list` shows them.

    What it signed stays good. Its private half is removed and cannot be brought back.
    """
    with trusted() as trust:
        trust.keys.retire(key_id)
        click.echo(f"{key_id} signs no more. What it signed stays good.")


@command.command("list")
def list_() -> None:
    """Show every key that ever signed, oldest first."""
    with trusted() as trust:
        for key in trust.verifier_keys():
            click.echo(f"{key.id}  {_span(key)}  {key.verifier}")


def _tell(key: KeptKey, what_to_do: str) -> None:
    click.echo(what_to_do, err=True)
    click.echo(key.verifier)


def _span(key: KeptKey) -> str:
    ended = "in force" if key.retired_at is None else f"retired {key.retired_at:%Y-%m-%d %H:%M}"
    return f"made {key.made_at:%Y-%m-%d %H:%M} UTC, {ended}"
