"""Drawing lots for a working order, so that anybody can draw them again from the recorded seed."""

from hashlib import sha256

from events.judged_class.state import ClassState


def lot(seed: str, back_number: int) -> str:
    """The lot of a back number: the SHA-256 of ``seed:back_number`` in UTF-8, as hexadecimal."""
    return sha256(f"{seed}:{back_number}".encode()).hexdigest()


def drawn_by_lot(state: ClassState, seed: str) -> tuple[str, ...]:
    """The ids of the entries that run, in ascending order of their back numbers' lots.

    An entry's lot depends on nobody else, so an entry that comes or goes moves no other two past
    each other.
    """
    running = [entry for entry in state.entries.values() if entry.scratched is None]
    running.sort(key=lambda entry: lot(seed, entry.back_number))
    return tuple(entry.id for entry in running)
