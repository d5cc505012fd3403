"""Tables out of CSV text and XLSX workbooks: cells as text, by the row that an office sees."""

import base64
import binascii
import csv
import io
import zipfile
from collections.abc import Iterator, Sequence
from datetime import date, datetime, time

import msgspec

MOST_ROWS = 2000
MOST_COLUMNS = 50
MOST_UNPACKED = 40 * 1024 * 1024
"""A workbook that unpacks to more is no list of entries."""

DELIMITERS = ",;\t"
FORMULA_MARK = "="


class CellFault(msgspec.Struct, frozen=True, kw_only=True):
    """What is wrong at a row, counted from 1 with the header, and in a column where it is one."""

    row: int
    column: str | None = None
    says: str


class SheetUnreadable(Exception):
    """A file that cannot be read at all, and why."""

    def __init__(self, fault: CellFault) -> None:
        super().__init__(fault.says)
        self.fault = fault


class Row(msgspec.Struct, frozen=True, kw_only=True):
    """One row as text; ``refused`` are the cells, from 0, that are not taken, with the reason."""

    number: int
    cells: tuple[str, ...]
    refused: tuple[tuple[int, str], ...] = ()

    @property
    def empty(self) -> bool:
        """Whether nothing stands in it."""
        return not any(self.cells) and not self.refused


def from_csv(text: str) -> tuple[Row, ...]:
    """The rows of CSV text, split by comma, semicolon or tab, whichever its first line holds."""
    plain = text.removeprefix("\N{ZERO WIDTH NO-BREAK SPACE}")
    first = plain.splitlines()[0] if plain.strip() else ""
    delimiter = max(DELIMITERS, key=first.count)
    reader = csv.reader(io.StringIO(plain, newline=""), delimiter=delimiter, strict=True)
    rows: list[Row] = []
    try:
        for number, cells in enumerate(reader, start=1):
            rows.append(_row(number, [cell.strip() for cell in cells]))
            _check_size(rows[-1])
    except csv.Error as error:
        fault = CellFault(row=len(rows) + 1, says=f"The row cannot be read: {error}.")
        raise SheetUnreadable(fault) from error
    return tuple(rows)


def from_xlsx(encoded: str) -> tuple[Row, ...]:
    """The rows of the first sheet of a workbook in Base64; formulas are refused, not computed."""
    from openpyxl import load_workbook  # noqa: PLC0415 - few processes ever read a workbook

    content = _unpackable(encoded)
    try:
        book = load_workbook(io.BytesIO(content), read_only=True)
        sheet = book.worksheets[0]
        rows = []
        for number, cells in enumerate(sheet.iter_rows(), start=1):
            read = [_cell(cell.value, cell.data_type) for cell in cells]
            rows.append(
                Row(
                    number=number,
                    cells=tuple(text for text, _ in read),
                    refused=tuple((at, why) for at, (_, why) in enumerate(read) if why),
                )
            )
            _check_size(rows[-1])
    except (KeyError, IndexError, ValueError, TypeError, OSError, SyntaxError) as error:
        raise _no_workbook() from error
    return tuple(rows)


def _unpackable(encoded: str) -> bytes:
    try:
        content = base64.b64decode(encoded, validate=True)
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            unpacked = sum(each.file_size for each in archive.infolist())
    except (binascii.Error, ValueError, zipfile.BadZipFile) as error:
        raise _no_workbook() from error
    if unpacked > MOST_UNPACKED:
        fault = CellFault(row=0, says="The workbook is far too large for a list of entries.")
        raise SheetUnreadable(fault)
    return content


def _no_workbook() -> SheetUnreadable:
    return SheetUnreadable(CellFault(row=0, says="This is not an XLSX workbook in Base64."))


def _check_size(row: Row) -> None:
    if row.number > MOST_ROWS:
        fault = CellFault(row=row.number, says=f"At most {MOST_ROWS} rows are read at once.")
        raise SheetUnreadable(fault)
    if len(row.cells) > MOST_COLUMNS:
        fault = CellFault(row=row.number, says=f"A row has at most {MOST_COLUMNS} columns.")
        raise SheetUnreadable(fault)


def _row(number: int, cells: Sequence[str]) -> Row:
    return Row(number=number, cells=tuple(cells), refused=tuple(_formulas(cells)))


def _formulas(cells: Sequence[str]) -> Iterator[tuple[int, str]]:
    for at, cell in enumerate(cells):
        if cell.startswith(FORMULA_MARK):
            yield at, _A_FORMULA


_A_FORMULA = "A formula stands here; put in what it comes to."


def _cell(value: object, kind: str) -> tuple[str, str | None]:
    """A cell as text, or why it is not taken."""
    match value:
        case None:
            return "", None
        case _ if kind == "f":
            return "", _A_FORMULA
        case _ if kind == "e":
            return "", f"The error {value} stands here."
        case bool():
            return ("yes" if value else "no"), None
        case float() if value.is_integer():
            return str(int(value)), None
        case datetime() | date() | time():
            return "", "A date or a time stands here."
        case str() if value.strip().startswith(FORMULA_MARK):
            return "", _A_FORMULA
        case _:
            return str(value).strip(), None
