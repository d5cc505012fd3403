"""A digest of what was asked, by which the same command is known again."""

import hashlib
from functools import cache

import msgspec


def fingerprint(*asked: object) -> str:
    """SHA-256 over what was asked, in hexadecimal.

    Fields that hold their default are left out, so that a release with a new optional field knows
    the commands that were sent to the one before.
    """
    return hashlib.sha256(msgspec.json.encode([_plain(each) for each in asked])).hexdigest()


def _plain(value: object) -> object:
    if isinstance(value, msgspec.Struct):
        given = ((name, getattr(value, name), default) for name, default in _fields(type(value)))
        return [
            type(value).__name__,
            {name: _plain(each) for name, each, default in given if each != default},
        ]
    if isinstance(value, tuple):
        return [_plain(each) for each in value]
    return value


@cache
def _fields(of: type[msgspec.Struct]) -> tuple[tuple[str, object], ...]:
    """The fields of a class by name, each with its default."""
    return tuple(sorted((each.name, each.default) for each in msgspec.structs.fields(of)))
