"""``ringfold place``: a whole class scored from one file."""

import json
import sys
from pathlib import Path

import click

from service.sheet.as_json import as_json
from service.sheet.faults import SheetRefused
from service.sheet.score import Scored, score_sheet
from service.sheet.table import as_table

_BAD_INPUT = 2


@click.command("place")
@click.argument("sheet", metavar="SHEET.json")
@click.option("--json", "wants_json", is_flag=True, help="Print one JSON object, not a table.")
def command(sheet: str, *, wants_json: bool) -> None:
    """Score a whole class from one file (or from standard input, if it is -).

    It needs no server and no database. What is wrong with the sheet goes to standard error, one
    line a fault, with the JSON path of the field; then the exit status is 2 and nothing is printed.
    """
    try:
        scored = score_sheet(_content(sheet))
    except OSError as wrong:
        _fail(f"{click.format_filename(sheet)}: {wrong.strerror or wrong}")
    except SheetRefused as refused:
        _fail(*map(str, refused.faults))
    else:
        click.echo(json.dumps(as_json(scored), indent=2) if wants_json else _shown(scored))


def _content(sheet: str) -> bytes:
    return sys.stdin.buffer.read() if sheet == "-" else Path(sheet).read_bytes()


def _shown(scored: Scored) -> str:
    """The table; letters that the output has no room for become question marks."""
    encoding = sys.stdout.encoding
    return as_table(scored).encode(encoding, "replace").decode(encoding)


def _fail(*lines: str) -> None:
    for line in lines:
        click.echo(line, err=True)
    click.get_current_context().exit(_BAD_INPUT)
