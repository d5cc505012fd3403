"""What a decision answers when a command may not be carried out."""

from collections.abc import Mapping

Fact = str | int | float | bool | None | tuple[str, ...]


class Refusal(Exception):
    """A command that may not be carried out: a stable code, a sentence, typed facts, the rule.

    ``code`` never changes meaning once published. ``field`` names the part of the command that
    is at fault (``mark``, ``order[2]``), or is ``None`` when the moment is wrong, not the input.
    ``rule`` names the rule that refused it: a row of the authority table or a part of the rule
    book.
    """

    def __init__(
        self,
        code: str,
        message: str,
        *,
        field: str | None = None,
        rule: str | None = None,
        **facts: Fact,
    ) -> None:
        super().__init__(message)
        self.code = code
        self.message = message
        self.field = field
        self.rule = rule
        self.facts: Mapping[str, Fact] = facts
