"""``ringfold`` as a process of its own, as whoever runs it sees it."""

import contextlib
import os
import signal
import socket
import subprocess
import sys
import threading
import urllib.request
from collections.abc import Iterator
from pathlib import Path

RINGFOLD = [sys.executable, "-c", "from service.cli import main; main(prog_name='ringfold')"]
PATIENCE_SECONDS = 60
HOUSE = Path(__file__).parent.parent.parent


class Serving:
    """A command that serves until it is told to stop."""

    def __init__(self, process: subprocess.Popen[str], port: int) -> None:
        self.process = process
        self.url = f"http://127.0.0.1:{port}"
        self.said: list[str] = []

    def wait_for(self, words: str) -> None:
        """Read what it says until it says these words; what it said instead, if it ends."""
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self.said.append(line)
            if words in line:
                return
        raise AssertionError("".join(self.said))

    def get(self, path: str) -> tuple[int, str]:
        """The status and the body that it answers with."""
        with urllib.request.urlopen(f"{self.url}{path}", timeout=PATIENCE_SECONDS) as answer:  # noqa: S310 - http, by us
            return answer.status, answer.read().decode()

    def stop(self, how: signal.Signals) -> int:
        """Its exit status after that signal."""
        self.process.send_signal(how)
        rest, _ = self.process.communicate(timeout=PATIENCE_SECONDS)
        self.said.append(rest)
        return self.process.returncode


@contextlib.contextmanager
def serving(*arguments: str, port: int, **environment: str) -> Iterator[Serving]:
    """The command in the background, both outputs in one; killed if it will not end."""
    with subprocess.Popen(
        [*RINGFOLD, *arguments, "--port", str(port)],
        cwd=HOUSE,
        env=_environment(environment),
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    ) as process:
        watchdog = threading.Timer(PATIENCE_SECONDS, process.kill)
        watchdog.start()
        try:
            yield Serving(process, port)
        finally:
            watchdog.cancel()
            process.kill()


def done(*arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """The command once it has ended."""
    return subprocess.run(
        [*RINGFOLD, *arguments],
        cwd=HOUSE,
        env=_environment(environment),
        capture_output=True,
        text=True,
        timeout=PATIENCE_SECONDS,
        check=False,
    )


def free_port() -> int:
    """A port at which nobody listens just now."""
    with socket.socket() as tried:
        tried.bind(("127.0.0.1", 0))
        port: int = tried.getsockname()[1]
        return port


def _environment(given: dict[str, str]) -> dict[str, str]:
    kept = {name: value for name, value in os.environ.items() if not name.startswith("RINGFOLD_")}
    return {**kept, **given, "PYTHONUNBUFFERED": "1"}
