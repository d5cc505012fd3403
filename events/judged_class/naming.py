"""How whoever asks names an entry."""

import msgspec


class EntryRef(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """An entry named by its id, its working-order number, its back number, or several of them.

    The two numbers are different things and easily confused on a card: those that are given must
    mean the same entry.
    """

    entry: str | None = None
    working_order: int | None = None
    back_number: int | None = None
