"""What is wrong with a rule book, told so that its author can mend it."""

import msgspec

Path = tuple[str | int, ...]
"""Where something stands in a rule book: keys, and positions counted from nought."""


def path_text(path: Path) -> str:
    """The path as people write it, ``penalties[3].points``; empty for the book as a whole."""
    steps = (f"[{step}]" if isinstance(step, int) else f".{step}" for step in path)
    return "".join(steps).removeprefix(".")


class RuleBookFault(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One thing that is wrong: where, and in a sentence what.

    ``line`` counts from 1 in the TOML text, and is ``None`` for a book that came as JSON.
    """

    path: str
    line: int | None
    sentence: str

    def __str__(self) -> str:
        """Place and sentence in one line."""
        line = None if self.line is None else f"line {self.line}"
        place = ", ".join(part for part in (line, self.path) if part)
        return f"{place}: {self.sentence}" if place else self.sentence


class RuleBookRefused(ValueError):
    """A rule book that does not hold together, with everything that is wrong in its order."""

    def __init__(self, faults: tuple[RuleBookFault, ...]) -> None:
        super().__init__("\n".join(str(fault) for fault in faults))
        self.faults = faults
