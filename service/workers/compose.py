"""What the settings say of the workers, and all their work put together."""

from datetime import timedelta

from service.config import Settings
from service.desk.desk import Desk
from service.publishing.links import Links
from service.reach import Reach, read_networks
from service.trust.errors import TrustError
from service.trust.settings import trust_settings
from service.trust.trust import Trust
from service.workers.publish import Publications
from service.workers.standings import Standings
from service.workers.webhooks import Webhooks
from service.workers.works import Works

YES = {"yes": True, "no": False}


class SettingUnusable(ValueError):
    """A variable of the environment that says something else than it may."""


def make_works(settings: Settings, desk: Desk) -> Works:
    """All the work there is on the desk's database."""
    trust = open_trust(settings, desk)
    return Works(
        desk,
        followers=[
            Publications(desk, trust, Links(base=settings.public_url)),
            Standings(desk),
        ],
        jobs=[Webhooks(desk.database, reach_of(settings), desk.clock)],
        checkpoints=trust,
    )


def open_trust(settings: Settings, desk: Desk) -> Trust:
    """Whoever signs for the log of the desk's database."""
    return Trust(desk.database, trust_settings(settings), desk.clock)


def make_first_key(settings: Settings, desk: Desk) -> None:
    """Let a log in a SQLite file have a key to sign with, if it never had one.

    Elsewhere keys are made by whoever decides where they lie.
    """
    keys = open_trust(settings, desk).keys
    if not desk.database.is_sqlite or keys.kept():
        return
    try:
        keys.make()
    except TrustError as error:
        if error.code != "key_in_force":  # another process was faster
            raise


def reach_of(settings: Settings) -> Reach:
    """Where messages to subscribers may go; ``SettingUnusable``."""
    try:
        networks = read_networks(settings.webhook_networks)
    except ValueError as error:
        raise SettingUnusable(f"RINGFOLD_WEBHOOK_NETWORKS: {error}") from error
    if settings.webhook_without_tls not in YES:
        raise SettingUnusable("RINGFOLD_WEBHOOK_WITHOUT_TLS: it is yes or no")
    return Reach(networks=networks, without_tls=YES[settings.webhook_without_tls])


def tick_of(settings: Settings) -> timedelta:
    """How often workers look for work unasked, a second at least; ``SettingUnusable``."""
    try:
        seconds = int(settings.tick_seconds)
    except ValueError:
        seconds = 0
    if not 1 <= seconds <= timedelta(hours=1).total_seconds():
        raise SettingUnusable("RINGFOLD_TICK_SECONDS: it is a whole number from 1 to 3600")
    return timedelta(seconds=seconds)
