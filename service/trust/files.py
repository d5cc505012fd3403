"""Files that outlive a crash, in a folder that one process changes at a time."""

import contextlib
import fcntl
import os
import time
from collections.abc import Iterator
from pathlib import Path

from service.trust.errors import TrustError

PRIVATE = 0o600
WAIT_SECONDS = 10.0
_PAUSE_SECONDS = 0.02


def write_durably(path: Path, data: bytes) -> None:
    """Put ``data`` in place of what the file held, all of it or nothing, safe from a power cut.

    Whoever reads the file, before or after a crash, finds the old bytes or the new ones.
    """
    unfinished = path.with_name(f".{path.name}.unfinished")
    _write(unfinished, data, os.O_TRUNC)
    unfinished.replace(path)
    _sync_folder(path.parent)


def write_new(path: Path, data: bytes) -> None:
    """The same for a file that must not be there yet; ``FileExistsError`` if it is."""
    _write(path, data, os.O_EXCL)
    _sync_folder(path.parent)


def remove(path: Path) -> None:
    """Have the file gone for good, if it is there."""
    path.unlink(missing_ok=True)
    _sync_folder(path.parent)


@contextlib.contextmanager
def locked(folder: Path) -> Iterator[None]:
    """Hold the folder, made if it is not there, so that no other process or thread changes it.

    ``TrustError`` with the code ``keys_dir_busy`` when another holds it for too long.
    """
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    held = os.open(folder, os.O_RDONLY)
    try:
        _lock(held, folder)
        yield
    finally:
        os.close(held)  # which lets go of the lock


def _lock(held: int, folder: Path) -> None:
    latest = time.monotonic() + WAIT_SECONDS
    while True:
        try:
            fcntl.flock(held, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError as error:
            if time.monotonic() > latest:
                sentence = f"another process has been holding {folder} for {WAIT_SECONDS:g} seconds"
                raise TrustError("keys_dir_busy", sentence, folder=str(folder)) from error
            time.sleep(_PAUSE_SECONDS)
        else:
            return


def _write(path: Path, data: bytes, flag: int) -> None:
    number = os.open(path, os.O_WRONLY | os.O_CREAT | flag, PRIVATE)
    with os.fdopen(number, "wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def _sync_folder(folder: Path) -> None:
    number = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(number)
    finally:
        os.close(number)
