"""``ringfold print``: papers from the database at hand."""

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import click

from events.judged_class.commands import EntryRef
from service.commands._desk import at_the_desk
from service.commands._trust import write
from service.desk.caller import Caller
from service.desk.moments import At
from service.print.papers import Paper, Printer
from service.print.press import SIZES, Size

_AT_THE_DATABASE = Caller(key="print", role="system")


class _Moment(click.ParamType[At]):
    """A version, or a time with its offset."""

    name = "moment"

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> At:
        """The moment that a text names."""
        text = str(value)
        if text.isascii() and text.isdigit():
            return int(text)
        try:
            found = datetime.fromisoformat(text)
        except ValueError:
            found = None
        if found is None or found.tzinfo is None:
            self.fail(f"{text!r} is neither a version nor a time with its offset.", param, ctx)
        return found


_out = click.option(
    "--out",
    type=click.Path(dir_okay=False, path_type=Path),
    help="The file to write; without it, a name of its own in this folder.",
)
_size = click.option(
    "--paper", "size", type=click.Choice(SIZES), default="a4", show_default=True, help="Its size."
)
_at = click.option(
    "--at", type=_Moment(), help="A version of the class, or a time: as it stood then."
)
_seat = click.option("--seat", required=True, help="The judge's seat, such as A.")
_day = click.option("--day", type=click.DateTime(["%Y-%m-%d"]), help="A day, such as 2026-05-09.")


@click.group("print")
def command() -> None:
    """Print cards, gate sheets, results, explanations and programmes as PDF.

    The database is the one that RINGFOLD_DATABASE names.
    """


@command.command("card")
@click.argument("class_id", metavar="CLASS")
@_seat
@click.option("--blank", is_flag=True, help="To write on, instead of as it stands.")
@_at
@_size
@_out
def card(class_id: str, seat: str, size: Size, out: Path | None, at: At, *, blank: bool) -> None:
    """Print a judge's card, as it stands or blank."""

    def printed(printer: Printer) -> Paper:
        make = printer.blank_card if blank else printer.filled_card
        return make(class_id, seat, at)

    _print(printed, size, out)


@command.command("gate-sheet")
@click.argument("class_id", metavar="CLASS")
@_at
@_size
@_out
def gate_sheet(class_id: str, at: At, size: Size, out: Path | None) -> None:
    """Print the gate's sheet of a class."""
    _print(lambda printer: printer.gate_sheet(class_id, at), size, out)


@command.command("results")
@click.argument("class_id", metavar="CLASS")
@_at
@_size
@_out
def results(class_id: str, at: At, size: Size, out: Path | None) -> None:
    """Print the results of a class for the board."""
    _print(lambda printer: printer.results(class_id, at), size, out)


@command.command("explanation")
@click.argument("class_id", metavar="CLASS")
@click.argument("back_number", type=click.IntRange(min=1))
@_seat
@_at
@_size
@_out
def explanation(
    class_id: str, back_number: int, seat: str, at: At, size: Size, out: Path | None
) -> None:
    """Print why an entry stands where it stands on a card, for its rider."""
    ref = EntryRef(back_number=back_number)
    _print(lambda printer: printer.explanation(class_id, seat, ref, at), size, out)


@command.command("programme")
@click.argument("show_id", metavar="SHOW")
@_day
@_size
@_out
def programme(show_id: str, day: datetime | None, size: Size, out: Path | None) -> None:
    """Print the programme of a day; without --day, that of today or the nearest one."""
    _print(lambda printer: printer.programme(show_id, day.date() if day else None), size, out)


@command.command("show-results")
@click.argument("show_id", metavar="SHOW")
@_day
@_size
@_out
def show_results(show_id: str, day: datetime | None, size: Size, out: Path | None) -> None:
    """Print all results of a show that are posted or official, or of one of its days."""
    _print(lambda printer: printer.show_results(show_id, day.date() if day else None), size, out)


def _print(make: Callable[[Printer], Paper], size: Size, out: Path | None) -> None:
    paper = at_the_desk(lambda desk: make(Printer(desk, _AT_THE_DATABASE, size)))
    path = out or Path(paper.plain_name)
    write(path, paper.body)
    click.echo(f"{click.format_filename(path)}: {len(paper.body)} bytes.")
