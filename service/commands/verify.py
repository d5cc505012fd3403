"""``ringfold verify``: a bundle checked by whoever has it, with no database and no network."""

from collections.abc import Iterator
from pathlib import Path

import click

from events.bundle.check import Report, check_bundle
from events.bundle.keys import Keys
from events.bundle.reading import Fault
from events.envelope import split_stream
from events.half_points import to_text
from events.projections.result import ResultDocument, ResultRow
from events.proof.checkpoint import Checkpoint
from events.proof.keys import VerifierKey, parse_verifier_key
from events.proof.refused import NoteRefused, ProofRefused
from events.proof.text import to_base64
from service.signing import holds, verify_checkpoint

MOST_SHOWN = 50
_FILE = click.Path(exists=True, dir_okay=False, readable=True, path_type=Path)


class _KeyType(click.ParamType[VerifierKey]):
    name = "key"

    def convert(
        self, value: str, param: click.Parameter | None, ctx: click.Context | None
    ) -> VerifierKey:
        """The verifier key, or a usage error that says what is wrong with it."""
        try:
            return parse_verifier_key(value)
        except NoteRefused as refused:
            self.fail(f"{refused.message}.", param, ctx)


@click.command("verify")
@click.argument("bundle", type=_FILE)
@click.option(
    "--key",
    "keys",
    required=True,
    multiple=True,
    type=_KeyType(),
    help="A public key of the log, as `ringfold signing-key list` shows it; name all there are.",
)
@click.option(
    "--checkpoint",
    "kept",
    type=_FILE,
    help="A checkpoint that you kept: find out also whether anything was rewritten since.",
)
def command(bundle: Path, keys: tuple[VerifierKey, ...], kept: Path | None) -> None:
    """Check a bundle: every proof and signature, and the places derived again from the events.

    It needs no database. The exit status is 0 if everything holds; it is 1 if anything does not,
    and what that is goes to standard error.
    """
    earlier = None if kept is None else _earlier(kept, keys)
    report = check_bundle(bundle.read_bytes(), Keys(keys, holds), earlier)
    for line in _what_holds(report, earlier):
        click.echo(line)
    for fault in report.faults[:MOST_SHOWN]:
        click.echo(_told(fault), err=True)
    if len(report.faults) > MOST_SHOWN:
        click.echo(f"... and {len(report.faults) - MOST_SHOWN} more.", err=True)
    if report.faults:
        raise click.ClickException(f"This bundle does not hold: {_counted(report.faults)}.")
    click.echo("Everything holds.")


def _earlier(kept: Path, keys: tuple[VerifierKey, ...]) -> Checkpoint:
    try:
        return verify_checkpoint(kept.read_bytes(), keys)
    except ProofRefused as refused:
        sentence = f"The checkpoint that you kept is not good: {refused.message}."
        raise click.ClickException(sentence) from refused


def _what_holds(report: Report, earlier: Checkpoint | None) -> Iterator[str]:
    if report.stream is not None:
        kind, identifier = split_stream(report.stream)
        yield f"{kind.capitalize()} {identifier}: {report.events} events hold."
    if report.checkpoint is not None:
        yield (
            f"Log {report.checkpoint.origin}, checkpoint of {report.checkpoint.size} events, root "
            f"{to_base64(report.checkpoint.root)}."
        )
    for document in report.results:
        yield from _results(document)
    if earlier is not None and report.sound:
        yield f"Nothing was rewritten since the checkpoint of {earlier.size} events."


def _results(document: ResultDocument) -> Iterator[str]:
    book = document.rulebook
    yield (
        f"Revision {document.revision}, official {document.official_at:%Y-%m-%d %H:%M:%S} UTC, "
        f"under {book.id} {book.edition}; derived again from the events:"
    )
    for seat in document.seats:
        yield f"  Seat {seat.seat}, judge {seat.judge}"
        for row in seat.rows:
            yield f"    {_place(row):>4}  back number {row.back_number:>4}  {_score(row)}"


def _place(row: ResultRow) -> str:
    return "-" if row.place is None else f"{row.place}{'=' if row.tied else ''}"


def _score(row: ResultRow) -> str:
    total = "no total" if row.total is None else to_text(row.total)
    return total if row.outcome is None else f"{total}, {row.outcome.replace('_', ' ')}"


def _told(fault: Fault) -> str:
    where = [] if fault.line is None else [f"line {fault.line}"]
    where += [] if fault.version is None else [f"event {fault.version}"]
    return f"{', '.join(where)}: {fault.says}" if where else fault.says


def _counted(faults: tuple[Fault, ...]) -> str:
    return f"{len(faults)} thing{'s do' if len(faults) > 1 else ' does'} not"
