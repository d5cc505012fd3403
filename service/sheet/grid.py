"""Rows of text in columns that line up."""

from collections.abc import Iterator, Sequence

import msgspec

_GAP = "  "
_INDENT = " " * 7


class Column(msgspec.Struct, frozen=True, kw_only=True):
    """A heading and a cell for each row; numbers stand to the right, words to the left.

    ``detail`` columns may go under the others where the page is narrow.
    """

    heading: str
    cells: tuple[str, ...]
    right: bool = False
    detail: bool = False

    @property
    def width(self) -> int:
        """The signs that its longest cell takes."""
        return max(map(len, (self.heading, *self.cells)))

    def line(self, row: int | None) -> str:
        """One cell, or the heading (``None``), filled up to the column's width."""
        text = self.heading if row is None else self.cells[row]
        return text.rjust(self.width) if self.right else text.ljust(self.width)


def grid(columns: Sequence[Column], width: int) -> list[str]:
    """The lines of a table no wider than ``width``, if its columns other than details are not."""
    kept, under = columns, list[list[Column]]()
    if _width(columns) > width:
        kept = [column for column in columns if not column.detail]
        details = [column for column in columns if column.detail]
        under = list(_shelves(details, width - len(_INDENT))) if details else []
    return [
        line
        for row in (None, *range(len(columns[0].cells)))
        for line in (_line(kept, row), *(_INDENT + _line(shelf, row) for shelf in under))
    ]


def _shelves(columns: Sequence[Column], width: int) -> Iterator[list[Column]]:
    """The columns in as many lines as they need, each as full as it gets."""
    shelf = [columns[0]]
    for column in columns[1:]:
        if _width([*shelf, column]) > width:
            yield shelf
            shelf = []
        shelf.append(column)
    yield shelf


def _width(columns: Sequence[Column]) -> int:
    return sum(column.width for column in columns) + len(_GAP) * (len(columns) - 1)


def _line(columns: Sequence[Column], row: int | None) -> str:
    return _GAP.join(column.line(row) for column in columns).rstrip()


def place_word(place: int | None, *, tied: bool) -> str:
    """A place as a table has it: ``2=`` where it is shared, ``-`` where there is none."""
    return "-" if place is None else f"{place}{'=' if tied else ''}"
