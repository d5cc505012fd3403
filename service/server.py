"""The application behind a production WSGI server: one process of threads, or several."""

import socket
from collections.abc import Callable
from typing import Any

import msgspec
from gunicorn.app.base import BaseApplication

from service import journal
from service.app import Serving, create_serving_app
from service.config import Settings
from service.http.install import Application

PORT = 8750
THREADS = 8
SECONDS_TO_FINISH = 30


class Address(msgspec.Struct, frozen=True):
    """Where to listen."""

    host: str = "127.0.0.1"
    port: int = PORT

    @property
    def url(self) -> str:
        """What a client on this machine calls it by."""
        return f"http://{self._bracketed}:{self.port}"

    @property
    def bind(self) -> str:
        """How the server names it."""
        return f"{self._bracketed}:{self.port}"

    @property
    def _bracketed(self) -> str:
        return f"[{self.host}]" if ":" in self.host else self.host

    def check_free(self) -> None:
        """``OSError`` unless this machine has that address, and nobody listens at it."""
        family, kind, protocol, _, where = socket.getaddrinfo(
            self.host, self.port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE
        )[0]
        with socket.socket(family, kind, protocol) as tried:
            tried.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            tried.bind(where)


def serve(
    settings: Settings,
    address: Address,
    *,
    processes: int = 1,
    when_ready: Callable[[], None] = lambda: None,
) -> None:
    """Serve until told to stop by a signal; ``when_ready`` is called once it listens."""
    options = {
        "bind": address.bind,
        "workers": processes,
        "worker_class": "gthread",
        "threads": THREADS,
        "graceful_timeout": SECONDS_TO_FINISH,
        "control_socket_disable": True,
        "proc_name": "ringfold",
        "loglevel": "warning",
        "when_ready": lambda _: when_ready(),
        "worker_exit": lambda _, worker: worker.app.stop_workers(),
    }
    journal.begin()
    _Server(settings, options).run()


class _Server(BaseApplication):  # type: ignore[misc]  # gunicorn is untyped
    """gunicorn, told everything here and nothing by files or arguments of its own."""

    def __init__(self, settings: Settings, options: dict[str, Any]) -> None:
        self.settings = settings
        self.options = options
        self.serving: Serving | None = None
        super().__init__()

    def load_config(self) -> None:
        """What the command was told."""
        for name, value in self.options.items():
            self.cfg.set(name, value)

    def load(self) -> Application:
        """The application; every process has its own."""
        self.serving = create_serving_app(self.settings)
        return self.serving.app

    def stop_workers(self) -> None:
        """End the work that this process does, once it serves no more."""
        if self.serving is not None:
            self.serving.workers.stop()
