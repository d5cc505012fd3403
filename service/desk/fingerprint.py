"""A digest of what was asked, by which the same command is known again."""

import hashlib

import msgspec


def fingerprint(*asked: object) -> str:
    """SHA-256 over what was asked, in hexadecimal.

    Fields that hold their default are left out, so that a release with a new optional field knows
    the commands that were sent to the one before.
    """
    return hashlib.sha256(msgspec.json.encode([_plain(each) for each in asked])).hexdigest()


def _plain(value: object) -> object:
    if isinstance(value, msgspec.Struct):
        fields = msgspec.structs.fields(value)
        given = {each.name: getattr(value, each.name) for each in fields}
        kept = {each.name: given[each.name] for each in fields if given[each.name] != each.default}
        return [type(value).__name__, {name: _plain(each) for name, each in sorted(kept.items())}]
    if isinstance(value, tuple):
        return [_plain(each) for each in value]
    return value
