"""Rule books: those that ship with Ringfold, and those that shows have adopted."""

from typing import Any

from flask import Response
from marshmallow import Schema, fields

from events.rulebook.load import digest, to_document
from events.rulebook.model import RuleBook
from service.books import shipped
from service.http.api import Resource
from service.http.here import desk
from service.http.shown import show
from service.http.shows import DIGEST

blueprint = Resource("rule books", __name__, url_prefix="/v1/rulebooks", description=__doc__)

SUMMARY = {
    "id": "western-horsemanship",
    "edition": "2026-1",
    "digest": DIGEST,
    "title": "Western horsemanship",
}


class RuleBookSummarySchema(Schema):
    """A rule book by name."""

    id = fields.String(required=True)
    edition = fields.String(required=True)
    digest = fields.String(required=True)
    title = fields.String(required=True)


class RuleBookSchema(RuleBookSummarySchema):
    """A rule book with its content, in the form that an author writes."""

    book = fields.Dict(required=True)


class RuleBookListSchema(Schema):
    """The rule books that ship with Ringfold."""

    items = fields.List(fields.Nested(RuleBookSummarySchema), required=True)


@blueprint.route("", methods=["GET"])
@blueprint.allows("office", "scribe", "steward", "federation", "public")
@blueprint.reads
@blueprint.response(200, RuleBookListSchema, example={"items": [SUMMARY]})
def list_rule_books() -> Response:
    """List the rule books that ship with Ringfold."""
    return show(RuleBookListSchema(), {"items": [_summary(book) for book in shipped().values()]})


@blueprint.route("/<book:name>", methods=["GET"])
@blueprint.allows("office", "scribe", "steward", "federation", "public")
@blueprint.reads
@blueprint.refuses(404)
@blueprint.response(200, RuleBookSchema, example=SUMMARY | {"book": {"scale": {"base": 70}}})
def read_rule_book(name: str) -> Response:
    """Read a rule book.

    It is named by its id if it ships with Ringfold, or by the digest that a class is held to.
    """
    book = desk().books.named(name)
    return show(RuleBookSchema(), _summary(book) | {"book": to_document(book)})


def _summary(book: RuleBook) -> dict[str, Any]:
    return {"id": book.id, "edition": book.edition, "digest": digest(book), "title": book.title}
