"""The demo's folder: its database, and a note beside it that says whose it is."""

import shutil
from collections.abc import Mapping
from pathlib import Path
from typing import Literal

import msgspec

DATABASE = "demo.db"
NOTE = "demo.json"
_FILES = (DATABASE, f"{DATABASE}-wal", f"{DATABASE}-shm")
_SIGNING_KEYS = f"{DATABASE}.keys"
"""Where serving it keeps what it signs with; another log must not be signed with the same."""


class NotOurs(Exception):
    """The folder holds something that the demo did not put there."""


class _Note(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Says that the demo made the folder; with keys once its show was played to the end."""

    made_by: Literal["ringfold demo"] = "ringfold demo"
    keys: Mapping[str, str] = {}


class DemoFolder:
    """A folder that is the demo's own, or may become so; ``NotOurs`` for any other."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._note = self._read()

    @property
    def keys(self) -> Mapping[str, str]:
        """The keys of the show that lies here, by name; empty while none was played to the end."""
        return self._note.keys if self._note and self.database.exists() else {}

    @property
    def database(self) -> Path:
        """The SQLite file."""
        return self.path / DATABASE

    @property
    def note(self) -> Path:
        """The file that says whose folder it is, and holds the keys."""
        return self.path / NOTE

    @property
    def url(self) -> str:
        """The database as settings name it."""
        return f"sqlite:///{self.database.absolute()}"

    def clear(self) -> None:
        """Take away what an earlier demo left, and nothing else, and begin anew."""
        self.path.mkdir(parents=True, exist_ok=True)
        self._write(_Note())  # first, so that a demo that is cut short knows its own folder again
        for name in _FILES:
            (self.path / name).unlink(missing_ok=True)
        if (self.path / _SIGNING_KEYS).is_dir():
            shutil.rmtree(self.path / _SIGNING_KEYS)

    def finish(self, keys: Mapping[str, str]) -> None:
        """Note the keys: the show was played to the end."""
        self._write(_Note(keys=keys))

    def _read(self) -> _Note | None:
        if not self.path.exists():
            return None
        if not self.path.is_dir():
            raise NotOurs(f"{self.path} is not a folder.")
        if not self.note.exists():
            if any(self.path.iterdir()):
                raise NotOurs(f"{self.path} holds something else, and no demo.")
            return None
        try:
            return msgspec.json.decode(self.note.read_bytes(), type=_Note)
        except msgspec.MsgspecError as error:
            raise NotOurs(f"{self.note} was not written by this demo: {error}.") from error

    def _write(self, note: _Note) -> None:
        self.note.touch(mode=0o600)  # the keys open nothing but the demo, and still are keys
        self.note.write_bytes(msgspec.json.format(msgspec.json.encode(note), indent=2) + b"\n")
        self._note = note
