"""The line on which each key of a TOML text stands, for faults that can be found again.

The text must already have been read as TOML: what is not TOML is not noticed here.
"""

import re
import tomllib
from bisect import bisect_right

from events.rulebook.fault import Path

_BLANK = re.compile(r"(?:[ \t\n]+|#[^\n]*)*")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_STRING = re.compile(
    r'"""(?:\\.|[^\\])*?"""(?:"{0,2})'
    r"|'''.*?'''(?:'{0,2})"
    r'|"(?:\\.|[^"\\])*"'
    r"|'[^']*'",
    re.DOTALL,
)
_SCALAR = re.compile(r"[^,\]}#\n]+")


class Lines:
    """The line, counted from 1, of every key, table and array element of a TOML text."""

    def __init__(self, text: str) -> None:
        self._lines: dict[Path, int] = {(): 1}
        _Scanner(text, self._lines).scan()

    def of(self, path: Path) -> int:
        """The line of ``path``, or of the nearest thing around it that stands in the text."""
        while path not in self._lines:
            path = path[:-1]
        return self._lines[path]


class _Scanner:
    def __init__(self, text: str, lines: dict[Path, int]) -> None:
        self._text = text
        self._lines = lines
        self._at = 0
        self._breaks = [found.start() for found in re.finditer("\n", text)]
        self._tables: dict[Path, int] = {}  # how many tables each array of tables has so far

    def scan(self) -> None:
        table: Path = ()
        while self._peek():
            if self._take("[["):
                table = self._header("]]", one_more=True)
            elif self._take("["):
                table = self._header("]", one_more=False)
            else:
                self._pair(table)

    def _peek(self) -> str:
        """Passes blanks and comments; the next character, or nothing at the end."""
        self._pass(_BLANK)
        return self._text[self._at : self._at + 1]

    def _take(self, expected: str) -> bool:
        self._pass(_BLANK)
        found = self._text.startswith(expected, self._at)
        self._at += len(expected) if found else 0
        return found

    def _pass(self, pattern: re.Pattern[str]) -> str:
        start = self._at
        match = pattern.match(self._text, start)
        self._at = match.end() if match else start
        return self._text[start : self._at]

    def _note(self, path: Path) -> None:
        """Keeps the line of ``path`` and of what it opens on the way; the first line counts."""
        line = bisect_right(self._breaks, self._at) + 1
        for length in range(1, len(path) + 1):
            self._lines.setdefault(path[:length], line)

    def _header(self, closing: str, *, one_more: bool) -> Path:
        keys = self._keys()
        path: Path = ()
        for key in keys:
            path = self._last_table((*path, key))
        if one_more:
            array = path[:-1] if path and isinstance(path[-1], int) else path
            self._tables[array] = self._tables.get(array, 0) + 1
            path = self._last_table(array)
        self._note(path)
        self._take(closing)
        return path

    def _last_table(self, path: Path) -> Path:
        return (*path, self._tables[path] - 1) if path in self._tables else path

    def _keys(self) -> list[str]:
        keys = [self._key()]
        while self._take("."):
            keys.append(self._key())
        return keys

    def _key(self) -> str:
        if self._peek() not in {'"', "'"}:
            return self._pass(_BARE_KEY)
        (key,) = tomllib.loads(f"{self._pass(_STRING)} = 0")
        return key

    def _pair(self, table: Path) -> None:
        path = (*table, *self._keys())
        self._note(path)
        self._take("=")
        self._value(path)

    def _value(self, path: Path) -> None:
        if self._take("["):
            self._array(path)
        elif self._take("{"):
            self._inline_table(path)
        elif self._peek() in {'"', "'"}:
            self._pass(_STRING)
        else:
            self._pass(_SCALAR)

    def _array(self, path: Path) -> None:
        position = 0
        while not self._take("]"):
            self._note((*path, position))
            self._value((*path, position))
            self._take(",")
            position += 1

    def _inline_table(self, path: Path) -> None:
        while not self._take("}"):
            self._pair(path)
            self._take(",")
