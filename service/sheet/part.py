"""One value of a sheet being read, and where it stands."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any, Final, TypeVar

from service.sheet.faults import Path, SheetFault, json_path
from service.sheet.values import Unreadable, meant, must_be

T = TypeVar("T")
_ABSENT: Final = object()
"""Stands where a key is missing; if it had to be there, that fault is already noted."""


class Part:
    """A value and its path; all that is wrong with it is noted, and reading goes on."""

    def __init__(self, value: Any, path: Path, faults: list[SheetFault]) -> None:  # noqa: ANN401 - any JSON
        self.value = value
        self.path = path
        self._faults = faults

    @property
    def given(self) -> bool:
        """Whether anything stands here; for a key that may be left out, ``null`` is nothing."""
        return self.value is not _ABSENT

    def fault(self, sentence: str) -> None:
        """Notes what is wrong here."""
        self._faults.append(SheetFault(json_path(self.path), sentence))

    def read(self, reader: Callable[[Any], T]) -> T | None:
        """What ``reader`` makes of the value; ``None`` where there is none, or its fault noted."""
        if not self.given:
            return None
        try:
            return reader(self.value)
        except Unreadable as wrong:
            self.fault(str(wrong))
            return None

    def table(self, required: Sequence[str], optional: Sequence[str] = ()) -> Mapping[str, "Part"]:
        """The parts under each of these keys; any other key is a fault."""
        known = (*required, *optional)
        found = self.read(_table)
        if found is None:
            return {key: self._under(key, _ABSENT) for key in known}
        self._check_keys(found, required, known)
        left_out = {key for key in optional if found.get(key) is None}
        return {
            key: self._under(key, _ABSENT if key in left_out else found.get(key, _ABSENT))
            for key in known
        }

    def items(self) -> tuple["Part", ...]:
        """The items of a list; none where there is no list."""
        found = self.read(_list) or []
        return tuple(self._under(place, item) for place, item in enumerate(found))

    def named(self) -> tuple[tuple[str, "Part"], ...]:
        """The values of an object under whatever keys it has; none where there is no object."""
        found = self.read(_table) or {}
        return tuple((key, self._under(key, value)) for key, value in found.items())

    def _under(self, step: str | int, value: Any) -> "Part":  # noqa: ANN401 - any JSON
        return Part(value, (*self.path, step), self._faults)

    def _check_keys(
        self, found: Mapping[str, Any], required: Sequence[str], known: Sequence[str]
    ) -> None:
        for key in required:
            if key not in found:
                self._under(key, _ABSENT).fault("This is missing.")
        for key in found:
            if key not in known:
                sentence = f"There is no key `{key}` here; {meant(key, known)}."
                self._under(key, None).fault(sentence)


def _table(value: object) -> dict[str, Any]:
    if not isinstance(value, dict):
        raise Unreadable(must_be("an object { }", value))
    return value


def _list(value: object) -> list[Any]:
    if not isinstance(value, list):
        raise Unreadable(must_be("a list [ ]", value))
    return value
