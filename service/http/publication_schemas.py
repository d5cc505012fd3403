"""What published results look like, and an example of each."""

from typing import Any

from marshmallow import Schema, fields

from service.http.fields import Moment, Whole
from service.http.shown import HorseSchema, PersonSchema
from service.http.shows import DIGEST

TIME = {"format": "date-time"}
NUMBER = {"type": ["number", "null"]}
"""Points in plain halves, or none."""

SUMMARY: dict[str, Any] = {
    "class": "ranch-reining-open",
    "show": "three-rivers-2026",
    "revision": 1,
    "version": 63,
    "position": 941,
    "checkpoint": 941,
    "official_at": "2026-05-09T15:40:00.000000Z",
    "published_at": "2026-05-09T15:40:02.000000Z",
    "sha256": "4f1c" * 16,
    "url": "/v1/classes/ranch-reining-open/publications/1",
}
ROW: dict[str, Any] = {
    "entry": "e214",
    "back_number": 214,
    "working_order": 1,
    "exhibitor": {"id": "p-lind", "name": "Karin Lind"},
    "horse": {"id": "h-smoke", "name": "Smoke Over Willow"},
    "place": 1,
    "tied": False,
    "total": 74,
    "milliseconds": None,
    "outcome": None,
    "section": None,
}
SIGNED_TEXT = '{"class":"ranch-reining-open","revision":1}'
NOTE = "ringfold.example/log/result\n\n\N{EM DASH} ringfold.example/log jXcTqy2Lk3c=\n"
PUBLICATION: dict[str, Any] = {
    "class": "ranch-reining-open",
    "show": "three-rivers-2026",
    "name": "Ranch reining, open",
    "number": 7,
    "rulebook": {"id": "reining", "edition": "2026-1", "digest": DIGEST},
    "revision": 1,
    "version": 63,
    "position": 941,
    "official_at": "2026-05-09T15:40:00.000000Z",
    "published_at": "2026-05-09T15:40:02.000000Z",
    "class_size": 12,
    "seats": [
        {
            "seat": "A",
            "judge": {"id": "p-ames", "name": "Judith Ames"},
            "judges_before": [],
            "rows": [ROW],
        },
    ],
    "panel": {"method": "separate", "rows": []},
    "divisions": [],
    "sections": [],
    "supersedes": None,
    "signed": {"document": SIGNED_TEXT, "note": NOTE, "checkpoint": 941},
}
CSV = (
    "class,class_name,revision,seat,judge,entry,back_number,working_order,exhibitor,horse,place,"
    "tied,total,outcome,seconds,panel_place,panel_tied,panel_figure,section\r\n"
    'ranch-reining-open,"Ranch reining, open",1,A,Judith Ames,e214,214,1,'
    "Karin Lind,Smoke Over Willow,1,false,74,,,,,,\r\n"
)


def _named(name: str, **options: Any) -> fields.String:  # noqa: ANN401 - as the field takes them
    return fields.String(required=True, attribute=name, data_key=name, **options)


class PublicationSummarySchema(Schema):
    """One published revision of a class's official results, by name."""

    class_ = _named("class")
    show = fields.String(required=True)
    revision = Whole(required=True)
    version = Whole(required=True, metadata={"description": "The version that was made official."})
    position = Whole(required=True, metadata={"description": "Its event's position in the log."})
    checkpoint = Whole(required=True, metadata={"description": "Events under its checkpoint."})
    official_at = Moment(required=True)
    published_at = Moment(required=True)
    sha256 = fields.String(
        required=True, metadata={"description": "Of the signed document's bytes, in hexadecimal."}
    )
    url = fields.String(required=True, metadata={"format": "uri-reference"})


class RevisionListSchema(Schema):
    """Every revision of a class, oldest first; the last one is in force."""

    items = fields.List(fields.Nested(PublicationSummarySchema), required=True)


class ShowResultsSchema(Schema):
    """Revisions of a show's classes, in the order in which they were published."""

    items = fields.List(fields.Nested(PublicationSummarySchema), required=True)
    next = fields.String(required=True, allow_none=True)


class ResultBookSchema(Schema):
    """The rule book that the class was held to."""

    id = fields.String(required=True)
    edition = fields.String(required=True, allow_none=True)
    digest = fields.String(required=True)


class ResultRowSchema(Schema):
    """How one entry stands on one judge's card; without a place where none is taken."""

    entry = fields.String(required=True)
    back_number = Whole(required=True)
    working_order = Whole(required=True, allow_none=True)
    exhibitor = fields.Nested(PersonSchema, required=True)
    horse = fields.Nested(HorseSchema, required=True, allow_none=True)
    place = Whole(required=True, allow_none=True)
    tied = fields.Boolean(required=True)
    total = fields.Raw(required=True, metadata=NUMBER)
    milliseconds = Whole(required=True, allow_none=True)
    outcome = fields.String(required=True, allow_none=True)
    section = Whole(
        required=True,
        allow_none=True,
        metadata={"description": "The section in which the place is, where there are sections."},
    )


class ResultSeatSchema(Schema):
    """One judge's card."""

    seat = fields.String(required=True)
    judge = fields.Nested(PersonSchema, required=True)
    judges_before = fields.List(
        fields.Nested(PersonSchema),
        required=True,
        metadata={"description": "Judges who filled the same card before this one."},
    )
    rows = fields.List(fields.Nested(ResultRowSchema), required=True)


class ResultPanelRowSchema(Schema):
    """How one entry stands with all judges together."""

    entry = fields.String(required=True)
    back_number = Whole(required=True)
    exhibitor = fields.Nested(PersonSchema, required=True)
    horse = fields.Nested(HorseSchema, required=True, allow_none=True)
    place = Whole(required=True, allow_none=True)
    tied = fields.Boolean(required=True)
    figure = fields.String(
        required=True,
        allow_none=True,
        metadata={"description": "What the method ranks by, exact: `212.5`, or `7/3`."},
    )
    section = Whole(required=True, allow_none=True)


class ResultPanelSchema(Schema):
    """What the judges placed together; no rows where each card is a result of its own."""

    method = fields.String(required=True)
    rows = fields.List(fields.Nested(ResultPanelRowSchema), required=True)


class ResultDivisionSchema(Schema):
    """The official placing among the entries of one division alone."""

    name = fields.String(required=True)
    class_size = Whole(required=True)
    seats = fields.List(fields.Nested(ResultSeatSchema), required=True)
    panel = fields.Nested(ResultPanelSchema, required=True)


class ResultSectionSchema(Schema):
    """The official result of one section, a class of its own with its divisions."""

    section = Whole(required=True)
    class_size = Whole(required=True)
    seats = fields.List(fields.Nested(ResultSeatSchema), required=True)
    panel = fields.Nested(ResultPanelSchema, required=True)
    divisions = fields.List(fields.Nested(ResultDivisionSchema), required=True)


class ResultStandingSchema(Schema):
    """How an entry stood in one revision."""

    total = fields.Raw(required=True, metadata=NUMBER)
    outcome = fields.String(required=True, allow_none=True)
    place = Whole(required=True, allow_none=True)
    tied = fields.Boolean(required=True)


class ResultMovedSchema(Schema):
    """An entry that stands elsewhere than in the revision before."""

    seat = fields.String(required=True)
    entry = fields.String(required=True)
    back_number = Whole(required=True)
    before = fields.Nested(ResultStandingSchema, required=True, allow_none=True)
    after = fields.Nested(ResultStandingSchema, required=True, allow_none=True)


class ResultCorrectionSchema(Schema):
    """A correction since the revision before; `reason` reads `withheld` for who may not read it."""

    version = Whole(required=True)
    seat = fields.String(required=True)
    entry = fields.String(required=True)
    authority = fields.String(required=True)
    reason = fields.String(required=True)
    protest = fields.String(required=True, allow_none=True)


class SupersedesSchema(Schema):
    """The revision that this one takes the place of: what moved, and why."""

    revision = Whole(required=True)
    version = Whole(required=True)
    moved = fields.List(fields.Nested(ResultMovedSchema), required=True)
    corrections = fields.List(fields.Nested(ResultCorrectionSchema), required=True)


class SignedSchema(Schema):
    """The document as it was signed: its UTF-8 bytes are what the note signs."""

    document = fields.String(required=True)
    note = fields.String(required=True)
    checkpoint = Whole(required=True)


class PublicationSchema(Schema):
    """One published revision, with the names in it as they read today.

    Where the class was ridden in `sections`, each is a result of its own: `seats` and `panel` then
    list one section after another, and divisions are those of each section.
    """

    class_ = _named("class")
    show = fields.String(required=True)
    name = fields.String(required=True)
    number = Whole(required=True, allow_none=True)
    rulebook = fields.Nested(ResultBookSchema, required=True)
    revision = Whole(required=True)
    version = Whole(required=True)
    position = Whole(required=True)
    official_at = fields.String(required=True, metadata=TIME)
    published_at = fields.String(required=True, metadata=TIME)
    class_size = Whole(required=True)
    seats = fields.List(fields.Nested(ResultSeatSchema), required=True)
    panel = fields.Nested(ResultPanelSchema, required=True)
    divisions = fields.List(fields.Nested(ResultDivisionSchema), required=True)
    sections = fields.List(fields.Nested(ResultSectionSchema), required=True)
    supersedes = fields.Nested(SupersedesSchema, required=True, allow_none=True)
    signed = fields.Nested(SignedSchema, required=True)
