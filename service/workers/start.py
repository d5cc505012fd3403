"""Getting the work done from a process that serves: by itself, or by workers behind Redis."""

from typing import Protocol

from service.config import Settings
from service.desk.desk import Desk
from service.workers.broker import make_app
from service.workers.compose import make_first_key, make_works, tick_of
from service.workers.embedded import Embedded
from service.workers.hints import Hints


class Workers(Protocol):
    """Whoever does the work, seen from the process that serves."""

    def start(self) -> None:
        """Begin; nothing is done before."""

    def wake(self) -> None:
        """Something was appended, or there is something to send. Returns at once, never fails."""

    def stop(self) -> None:
        """End what this process does of it."""


def workers(settings: Settings, desk: Desk) -> Workers:
    """Workers behind Redis where the settings name one, else threads of this process.

    Raises ``SettingUnusable``, and ``TrustError`` where no key can be made.
    """
    tick = tick_of(settings)
    if settings.redis is not None:
        return Hints(make_app(settings.redis, tick), tick)
    make_first_key(settings, desk)
    return Embedded(make_works(settings, desk), tick)
