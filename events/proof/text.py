"""Strict reading of the text that notes, keys and checkpoints are made of."""

import re
from base64 import b64decode, b64encode

from events.proof.refused import NoteRefused

_DECIMAL = re.compile(r"0|[1-9][0-9]{0,18}")
_NOT_PLAIN = re.compile("[\x00-\x1f\ud800-\udfff]")  # lone surrogates have no UTF-8


def to_base64(data: bytes) -> str:
    """The standard base64 text with padding (RFC 4648, section 4)."""
    return b64encode(data).decode("ascii")


def from_base64(text: str, what: str) -> bytes:
    """The bytes behind ``text``, which must be their one canonical base64 form.

    Raises ``NoteRefused`` with the code ``not_base64``; ``what`` names the text in its sentence.
    """
    try:
        data = b64decode(text, validate=True)
    except ValueError as error:
        raise NoteRefused("not_base64", f"{what} is not base64", what=what) from error
    if to_base64(data) != text:
        raise NoteRefused("not_base64", f"{what} is not canonical base64", what=what)
    return data


def from_decimal(text: str) -> int:
    """The tree size that ``text`` writes without sign, spaces or leading noughts.

    Raises ``NoteRefused`` with the code ``not_a_size``.
    """
    if not _DECIMAL.fullmatch(text):
        raise NoteRefused("not_a_size", "a tree size is a whole number in plain digits")
    return int(text)


def is_plain(text: str) -> bool:
    """Whether a line of a note may read ``text``: no ASCII control characters, and all UTF-8."""
    return not _NOT_PLAIN.search(text)


def is_key_name(name: str) -> bool:
    """Whether a key may be called ``name``: not empty, and no Unicode spaces and no plus in it."""
    return (
        name != ""
        and "+" not in name
        and is_plain(name)
        and not any(character.isspace() for character in name)
    )
