"""Real workers: `ringfold worker` and `ringfold beat` as processes, to be killed at any time."""

import os
import signal
import subprocess
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from tests.workers.waiting import until

HOUSE = Path(__file__).parents[2]
RINGFOLD = [sys.executable, "-c", "from service.cli import main; main()"]


class Member:
    """One process and those that it started."""

    def __init__(self, name: str, environment: Mapping[str, str], journal: Path) -> None:
        self._journal = journal
        with journal.open("wb") as out:
            self.process = subprocess.Popen(
                [*RINGFOLD, *name.split()],
                cwd=HOUSE,
                env={**os.environ, **environment, "PYTHONWARNINGS": "default"},
                stdout=out,
                stderr=subprocess.STDOUT,
                start_new_session=True,
            )

    @property
    def told(self) -> str:
        """What it has written so far."""
        return self._journal.read_text(encoding="utf-8", errors="replace")

    def has_said(self, words: str) -> bool:
        assert self.process.poll() is None, self.told
        return words in self.told

    def children(self) -> list[int]:
        """The processes that it works with."""
        pid = self.process.pid
        found = Path(f"/proc/{pid}/task/{pid}/children").read_text(encoding="ascii")
        return [int(each) for each in found.split()]

    def kill(self) -> None:
        """End it and its children in the middle of whatever they do."""
        os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()

    def stop(self) -> int:
        """Ask it to end, as a supervisor does; its exit status."""
        if self.process.poll() is None:
            self.process.terminate()
        return self.process.wait(60)


class Crew:
    """Whoever works on one database behind one Redis."""

    def __init__(self, environment: Mapping[str, str], folder: Path) -> None:
        self._environment = environment
        self._folder = folder
        self._members: list[Member] = []

    def worker(self, processes: int = 1) -> Member:
        """A Celery worker that is ready."""
        member = self._start(f"worker --processes {processes}")
        assert until(lambda: member.has_said(" ready.")), member.told
        return member

    def beat(self) -> Member:
        """Whoever wakes the workers at intervals."""
        return self._start("beat")

    def dismiss(self) -> None:
        """End every process that is left."""
        for each in self._members:
            if each.process.poll() is None:
                each.kill()

    def _start(self, command: str) -> Member:
        journal = self._folder / f"{len(self._members)}-{command.split(maxsplit=1)[0]}.log"
        member = Member(command, self._environment, journal)
        self._members.append(member)
        return member


@contextmanager
def crew(environment: Mapping[str, str], folder: Path) -> Iterator[Crew]:
    """A crew that is dismissed afterwards, whatever happened."""
    made = Crew(environment, folder)
    try:
        yield made
    finally:
        made.dismiss()
