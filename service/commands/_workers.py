"""What the commands about workers have in common."""

import click

from service.config import Settings, read_settings
from service.workers.compose import SettingUnusable, reach_of, tick_of


def settings_for_workers() -> Settings:
    """The settings, once all that workers need of them can be used."""
    settings = read_settings()
    try:
        tick_of(settings)
        reach_of(settings)
    except SettingUnusable as error:
        raise click.ClickException(str(error)) from error
    return settings
