"""Why the log cannot be proved or signed for as things stand."""

from collections.abc import Mapping

from events.refusals import Fact


class TrustError(Exception):
    """Something that an operator has to put right: a stable code, a sentence, typed facts.

    Nothing was signed, and nothing handed out.
    """

    def __init__(self, code: str, message: str, **facts: Fact) -> None:
        super().__init__(message)
        self.code = code
        self.message = message
        self.facts: Mapping[str, Fact] = facts
