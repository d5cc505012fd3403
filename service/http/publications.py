"""Published results: every revision as it was signed and as it reads today, and whole shows."""

import hashlib
from typing import Any

from flask import Response, request

from events.envelope import Role
from service.http.api import Resource
from service.http.common import PageQuery, cursor, next_link
from service.http.files import hand_over
from service.http.guard import caller
from service.http.here import desk
from service.http.publication_schemas import (
    CSV,
    NOTE,
    PUBLICATION,
    SIGNED_TEXT,
    SUMMARY,
    PublicationSchema,
    RevisionListSchema,
    ShowResultsSchema,
)
from service.http.shown import show
from service.publishing import shelf
from service.publishing.as_json import as_json
from service.publishing.columns import RESULTS, lines
from service.publishing.links import Links
from service.publishing.package import ndjson, package
from service.publishing.page import page
from service.publishing.published import Published
from service.store.publications import Publication

blueprint = Resource("publications", __name__, url_prefix="/v1", description=__doc__)

READERS: tuple[Role, ...] = ("office", "scribe", "steward", "federation", "public")
ONE = "/classes/<id:class_id>/publications/<int(min=1,max=999999):revision>"
TEXT = {"type": "string"}
BINARY = {"type": "string", "format": "binary"}
FORMS = ("application/json", "text/csv", "text/html")
PAGE_POLICY = (
    "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'none'"
)
VARY = "Accept, Authorization"


@blueprint.route("/classes/<id:class_id>/publications", methods=["GET"])
@blueprint.allows(*READERS)
@blueprint.reads
@blueprint.refuses(404)
@blueprint.response(200, RevisionListSchema, example={"items": [SUMMARY]})
def list_revisions(class_id: str) -> Response:
    """List the published revisions of a class."""
    found = shelf.revisions(desk(), caller(), class_id)
    return show(RevisionListSchema(), {"items": [_summary(each) for each in found]})


@blueprint.route(ONE, methods=["GET"])
@blueprint.allows(*READERS)
@blueprint.reads
@blueprint.refuses(404)
@blueprint.response(200, PublicationSchema, example=PUBLICATION)
@blueprint.response(200, TEXT, content_type="text/csv", example=CSV)
@blueprint.response(200, TEXT, content_type="text/html", example="<!doctype html>\n...")
def read_publication(class_id: str, revision: int) -> Response:
    """Read a published revision.

    As JSON, as CSV with `Accept: text/csv`, or as a page that stands by itself with
    `Accept: text/html`. The results never change; the names in them may be corrected or erased.
    """
    found = _joined(class_id, revision)
    wanted = request.accept_mimetypes.best_match(FORMS, default=FORMS[0])
    if wanted == "text/csv":
        return hand_over(RESULTS.csv(lines(found)), "text/csv", vary=VARY)
    if wanted == "text/html":
        return _page(found)
    answer = show(PublicationSchema(), as_json(found))
    answer.headers["Vary"] = VARY
    return answer


@blueprint.route(f"{ONE}.csv", methods=["GET"])
@blueprint.allows(*READERS)
@blueprint.reads
@blueprint.refuses(404)
@blueprint.response(200, TEXT, content_type="text/csv", example=CSV)
def read_publication_as_csv(class_id: str, revision: int) -> Response:
    """Read a published revision as CSV, a row for each entry on each judge's card."""
    name = f"{class_id}-r{revision}.csv"
    body = RESULTS.csv(lines(_joined(class_id, revision)))
    return hand_over(body, "text/csv", filename=name)


@blueprint.route(f"{ONE}/document", methods=["GET"])
@blueprint.allows(*READERS)
@blueprint.reads
@blueprint.refuses(404)
@blueprint.response(200, TEXT, content_type="application/json", example=SIGNED_TEXT)
def read_signed_document(class_id: str, revision: int) -> Response:
    """Read the very bytes that were signed.

    They name people and horses by id alone, and never change.
    """
    found = shelf.publication(desk(), caller(), class_id, revision)
    return hand_over(found.document, "application/json", never_changes=True)


@blueprint.route(f"{ONE}/note", methods=["GET"])
@blueprint.allows(*READERS)
@blueprint.reads
@blueprint.refuses(404)
@blueprint.response(200, TEXT, content_type="text/plain", example=NOTE)
def read_signed_note(class_id: str, revision: int) -> Response:
    """Read the note that signs a revision's document.

    A C2SP signed note, to be checked with the keys under `/v1/log/keys`.
    """
    found = shelf.publication(desk(), caller(), class_id, revision)
    return hand_over(found.note, "text/plain", never_changes=True)


@blueprint.route("/shows/<id:show_id>/results", methods=["GET"])
@blueprint.allows(*READERS)
@blueprint.reads
@blueprint.refuses(400, 404)
@blueprint.arguments(PageQuery, location="query")
@blueprint.response(200, ShowResultsSchema, example={"items": [SUMMARY], "next": None})
def list_show_results(query: dict[str, Any], show_id: str) -> Response:
    """List what was published of a show, every revision of every class."""
    limit = query["limit"]
    found = shelf.of_show(desk(), caller(), show_id, after=cursor(query), limit=limit + 1)
    follows = str(found[limit - 1].position) if len(found) > limit else None
    document = {"items": [_summary(each) for each in found[:limit]], "next": follows}
    return show(ShowResultsSchema(), document, headers=next_link(follows, limit))


@blueprint.route("/shows/<id:show_id>/results.ndjson", methods=["GET"])
@blueprint.allows(*READERS)
@blueprint.reads
@blueprint.refuses(404)
@blueprint.response(
    200, TEXT, content_type="application/x-ndjson", example='{"document":{"revision":1}}\n'
)
def download_show_as_lines(show_id: str) -> Response:
    """Download a show's whole results as lines of JSON.

    A line for each revision: the signed document in canonical form (RFC 8785), its note, its
    checkpoint, and the names as they read today.
    """
    whole = shelf.whole_show(desk(), caller(), show_id)
    body = b"".join(ndjson(whole.revisions))
    return hand_over(body, "application/x-ndjson", filename=f"results-{show_id}.ndjson")


@blueprint.route("/shows/<id:show_id>/results.zip", methods=["GET"])
@blueprint.allows(*READERS)
@blueprint.reads
@blueprint.refuses(404)
@blueprint.response(200, BINARY, content_type="application/zip", example="PK...")
def download_show_as_package(show_id: str) -> Response:
    """Download a show's whole results as a data package.

    A Frictionless Data Package: a zip of CSV tables with their schema, and every signed document
    with its note.
    """
    whole = shelf.whole_show(desk(), caller(), show_id)
    body = package(show_id, f"Official results of {whole.title}", whole.revisions, whole.awards)
    return hand_over(body, "application/zip", filename=f"results-{show_id}.zip")


def _joined(class_id: str, revision: int) -> Published:
    found = shelf.publication(desk(), caller(), class_id, revision)
    return shelf.joined(desk(), caller(), found)


def _page(of: Published) -> Response:
    newest = shelf.newest(desk(), of.publication.class_id)
    answer = hand_over(page(of, newest).encode(), "text/html", vary=VARY)
    answer.headers["Content-Security-Policy"] = PAGE_POLICY
    return answer


def _summary(of: Publication) -> dict[str, Any]:
    return {
        "class": of.class_id,
        "show": of.show_id,
        "revision": of.revision,
        "version": of.version,
        "position": of.position,
        "checkpoint": of.checkpoint,
        "official_at": of.official_at,
        "published_at": of.published_at,
        "sha256": hashlib.sha256(of.document).hexdigest(),
        "url": Links().result(of.class_id, of.revision),
    }
