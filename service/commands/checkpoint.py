"""``ringfold checkpoint``: the log's state, signed."""

from pathlib import Path

import click

from events.proof.text import to_base64
from service.commands._trust import trusted, write


@click.command("checkpoint")
@click.option(
    "--out",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Write it to this file, not to the screen.",
)
@click.option(
    "--check",
    is_flag=True,
    help="Sign nothing: hash every event anew, and hold every checkpoint ever signed to it.",
)
def command(out: Path | None, *, check: bool) -> None:
    """Sign a checkpoint: how many events the log holds, and one hash over all of them.

    Whoever keeps it can prove later that nothing before it was rewritten. Hand it out: to the
    federation, on paper, by mail at the end of the day.
    """
    with trusted() as trust:
        if check:
            faults = trust.check_log()
            for fault in faults:
                click.echo(f"{fault.says}.", err=True)
            if faults:
                raise click.ClickException(f"Checkpoints that do not hold: {len(faults)}.")
            click.echo("Every checkpoint holds.")
            return
        signed = trust.checkpoint_now()
        if out is None:
            click.echo(signed.note, nl=False)
        else:
            write(out, signed.note)
        click.echo(f"{signed.size} events, root {to_base64(signed.root)}.", err=True)
