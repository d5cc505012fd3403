"""What is wrong with a sheet, told so that whoever wrote it can mend it."""

import json
import re

import msgspec

Path = tuple[str | int, ...]
"""Where something stands in a sheet: keys, and positions counted from nought."""

_PLAIN_KEY = re.compile(r"[A-Za-z_]\w*", re.ASCII)


def json_path(path: Path) -> str:
    """The path as people write it, ``$.cards[0].rides[1].marks[2]``; ``$`` is the whole sheet."""
    return "$" + "".join(_step(step) for step in path)


def _step(step: str | int) -> str:
    if isinstance(step, int):
        return f"[{step}]"
    return f".{step}" if _PLAIN_KEY.fullmatch(step) else f"[{json.dumps(step)}]"


class SheetFault(msgspec.Struct, frozen=True):
    """One thing that is wrong: the JSON path of the field, and in a sentence what."""

    path: str
    sentence: str

    def __str__(self) -> str:
        """Path and sentence in one line, with nothing in it that a terminal would obey."""
        line = f"{self.path}: {' '.join(self.sentence.split())}"
        return "".join(sign if sign.isprintable() else _escaped(sign) for sign in line)


def _escaped(sign: str) -> str:
    return sign.encode("unicode_escape").decode("ascii")


class SheetRefused(ValueError):
    """A sheet that cannot be scored, with everything that is wrong with it."""

    def __init__(self, faults: tuple[SheetFault, ...]) -> None:
        super().__init__("\n".join(str(fault) for fault in faults))
        self.faults = faults
