"""Tables by their columns, and CSV that no spreadsheet runs.

CSV is RFC 4180 in UTF-8 with a header row and CRLF. A spreadsheet takes a cell that begins with
``=``, ``+``, ``-`` or ``@`` for a formula (OWASP ASVS 5.0.0, 1.2.10), so text that does, such as a
name somebody chose, gets an apostrophe before it. Numbers are left as they are.
"""

import csv
import io
from collections.abc import Callable, Iterable, Sequence
from typing import Generic, Literal, TypeVar

import msgspec

T = TypeVar("T")
Cell = str | int | bool | None
FieldType = Literal["string", "integer", "number", "boolean", "datetime"]
RISKY = ("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")
"""How a cell begins that some spreadsheet runs: the signs, their full-width forms, white space."""


class Column(msgspec.Struct, Generic[T], frozen=True):
    """One column: its name, the type its cells have, what it holds, and where that comes from.

    An ``optional`` one has empty cells.
    """

    name: str
    type: FieldType
    says: str
    cell: Callable[[T], Cell]
    optional: bool = False


class Table(msgspec.Struct, Generic[T], frozen=True, kw_only=True):
    """A table by its columns; the ``key`` columns together name a row."""

    name: str
    title: str
    key: tuple[str, ...]
    columns: Sequence[Column[T]]

    def csv(self, rows: Iterable[T]) -> bytes:
        """The rows as CSV."""
        text = io.StringIO(newline="")
        writer = csv.writer(text, lineterminator="\r\n")
        writer.writerow([column.name for column in self.columns])
        for row in rows:
            writer.writerow([_written(column, column.cell(row)) for column in self.columns])
        return text.getvalue().encode()


def _written(column: Column[T], value: Cell) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    text = str(value)
    return f"'{text}" if column.type == "string" and text.startswith(RISKY) else text
