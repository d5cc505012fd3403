"""Paper: cards, gate sheets, results, explanations and programmes as PDF."""

from typing import Any

from flask import Response
from marshmallow import Schema, fields, validate

from service.http.api import Resource
from service.http.common import AtQuery, entry_ref, moment
from service.http.fields import Day
from service.http.files import hand_over
from service.http.guard import caller
from service.http.here import desk
from service.http.inquiry_schemas import ExplainQuery
from service.print.papers import Paper, Printer
from service.print.press import SIZES

blueprint = Resource("papers", __name__, url_prefix="/v1", description=__doc__)

PDF = "application/pdf"
BINARY = {"type": "string", "format": "binary"}
ONE_CLASS = "/classes/<id:class_id>"
ONE_SHOW = "/shows/<id:show_id>"


class SizeQuery(Schema):
    """The size of the paper."""

    paper = fields.String(
        load_default="a4",
        validate=validate.OneOf(SIZES),
        metadata={"description": "What it is printed on."},
    )


class PaperQuery(AtQuery, SizeQuery):
    """The moment to look at, and the size of the paper."""


class ExplainPaperQuery(ExplainQuery, SizeQuery):
    """Which entry on which card, and the size of the paper."""


class DayPaperQuery(SizeQuery):
    """Which day, and the size of the paper."""

    day = Day()


@blueprint.route(f"{ONE_CLASS}/cards/<id:seat>/blank.pdf", methods=["GET"])
@blueprint.allows("office", "scribe", "steward", "federation")
@blueprint.reads
@blueprint.refuses(404, 422)
@blueprint.arguments(PaperQuery, location="query")
@blueprint.response(200, BINARY, content_type=PDF, example="%PDF-...")
def print_blank_card(query: dict[str, Any], class_id: str, seat: str) -> Response:
    """Print a judge's card to write on.

    A row for each entry in working order, a column for each maneuver, and what the rule book prices
    and names. It names no rider and no horse.
    """
    return _handed(_printer(query).blank_card(class_id, seat, moment(query)))


@blueprint.route(f"{ONE_CLASS}/cards/<id:seat>/filled.pdf", methods=["GET"])
@blueprint.allows("office", "scribe", "steward", "federation")
@blueprint.reads
@blueprint.refuses(404, 422)
@blueprint.arguments(PaperQuery, location="query")
@blueprint.response(200, BINARY, content_type=PDF, example="%PDF-...")
def print_filled_card(query: dict[str, Any], class_id: str, seat: str) -> Response:
    """Print a judge's card as it stands.

    Open to whom the card is open: a scribe prints the judge's own, and the others once results are
    posted.
    """
    return _handed(_printer(query).filled_card(class_id, seat, moment(query)))


@blueprint.route(f"{ONE_CLASS}/gate-sheet.pdf", methods=["GET"])
@blueprint.allows("office", "scribe", "steward", "federation")
@blueprint.reads
@blueprint.refuses(404, 422)
@blueprint.arguments(PaperQuery, location="query")
@blueprint.response(200, BINARY, content_type=PDF, example="%PDF-...")
def print_gate_sheet(query: dict[str, Any], class_id: str) -> Response:
    """Print the gate's sheet.

    The working order with riders and horses, a box for each call, and scratched entries struck
    through.
    """
    return _handed(_printer(query).gate_sheet(class_id, moment(query)))


@blueprint.route(f"{ONE_CLASS}/results.pdf", methods=["GET"])
@blueprint.allows("office", "scribe", "steward", "federation", "public")
@blueprint.reads
@blueprint.refuses(404, 422)
@blueprint.arguments(PaperQuery, location="query")
@blueprint.response(200, BINARY, content_type=PDF, example="%PDF-...")
def print_results(query: dict[str, Any], class_id: str) -> Response:
    """Print results for the board.

    As the placing reads to the key. It says whether results are posted or official and until when
    they may be protested, and of a corrected revision what is different and why. Official results
    that are published carry the log's size and root, also as a QR code.
    """
    return _handed(_printer(query).results(class_id, moment(query)))


@blueprint.route(f"{ONE_CLASS}/publications/<int(min=1,max=999999):revision>.pdf", methods=["GET"])
@blueprint.allows("office", "scribe", "steward", "federation", "public")
@blueprint.reads
@blueprint.refuses(404, 422)
@blueprint.arguments(SizeQuery, location="query")
@blueprint.response(200, BINARY, content_type=PDF, example="%PDF-...")
def print_publication(query: dict[str, Any], class_id: str, revision: int) -> Response:
    """Print a published revision.

    The results as they became official; it says where another revision has taken its place.
    """
    return _handed(_printer(query).publication(class_id, revision))


@blueprint.route(f"{ONE_CLASS}/explain.pdf", methods=["GET"])
@blueprint.allows("office", "scribe", "steward", "federation")
@blueprint.reads
@blueprint.refuses(404, 422)
@blueprint.arguments(ExplainPaperQuery, location="query")
@blueprint.response(200, BINARY, content_type=PDF, example="%PDF-...")
def print_explanation(query: dict[str, Any], class_id: str) -> Response:
    """Print why an entry stands where it stands, for its rider."""
    printer, ref = _printer(query), entry_ref(query)
    return _handed(printer.explanation(class_id, query["seat"], ref, moment(query)))


@blueprint.route(f"{ONE_SHOW}/timetable.pdf", methods=["GET"])
@blueprint.allows("office", "scribe", "steward", "federation", "public")
@blueprint.reads
@blueprint.refuses(404, 422)
@blueprint.arguments(DayPaperQuery, location="query")
@blueprint.response(200, BINARY, content_type=PDF, example="%PDF-...")
def print_programme(query: dict[str, Any], show_id: str) -> Response:
    """Print a day's programme, ring by ring.

    Without a day it is the day that the timetable shows.
    """
    return _handed(_printer(query).programme(show_id, query.get("day")))


@blueprint.route(f"{ONE_SHOW}/results.pdf", methods=["GET"])
@blueprint.allows("office", "scribe", "steward", "federation", "public")
@blueprint.reads
@blueprint.refuses(404, 422)
@blueprint.arguments(DayPaperQuery, location="query")
@blueprint.response(200, BINARY, content_type=PDF, example="%PDF-...")
def print_show_results(query: dict[str, Any], show_id: str) -> Response:
    """Print all results of a show that are posted or official.

    A class begins on a new page; with a day, the classes of that day.
    """
    return _handed(_printer(query).show_results(show_id, query.get("day")))


def _printer(query: dict[str, Any]) -> Printer:
    return Printer(desk(), caller(), query["paper"])


def _handed(paper: Paper) -> Response:
    response = hand_over(paper.body, PDF)
    response.headers["Content-Disposition"] = paper.disposition
    return response
