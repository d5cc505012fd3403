"""The ``ringfold`` command: one group, whose commands are the modules of ``service.commands``."""

import pkgutil
from importlib import import_module

import click

from service import commands


class _Modules(click.Group):
    """A command of the name ``make-key`` is ``command`` in ``service/commands/make_key.py``.

    A module is imported when its command is asked for, so scoring a sheet loads no server.
    """

    def list_commands(self, ctx: click.Context) -> list[str]:
        """The names of all commands, in alphabetical order."""
        del ctx
        found = (module.name for module in pkgutil.iter_modules(commands.__path__))
        return sorted(name.replace("_", "-") for name in found if not name.startswith("_"))

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of that name, or ``None`` where there is none."""
        if cmd_name not in self.list_commands(ctx):
            return None
        module = import_module(f"{commands.__name__}.{cmd_name.replace('-', '_')}")
        command: click.Command = module.command
        return command


@click.command("ringfold", cls=_Modules)
@click.version_option(package_name="ringfold")
def main() -> None:
    """Score judged horse-show classes, and keep every judge's action."""
