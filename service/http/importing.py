"""Entries imported from CSV or XLSX, with a dry run that lists every fault by row and column."""

from collections.abc import Sequence
from typing import Any

from flask import Response, json
from marshmallow import Schema, fields, validate, validates_schema

from service.desk import importing
from service.desk.importing import ImportRefused
from service.desk.sheets import CellFault, Row, SheetUnreadable, from_csv, from_xlsx
from service.http.api import Resource
from service.http.asking import command_ask
from service.http.common import exactly_one
from service.http.fields import Prose, Whole
from service.http.here import desk
from service.http.problems import Fault, Unwell, problem

blueprint = Resource(
    "importing", __name__, url_prefix="/v1/classes/<id:class_id>/entries", description=__doc__
)
LONGEST = 1_500_000
TABLE = (
    "back_number,exhibitor,horse,divisions\n214,p-lind,h-smoke,open; youth\n87,p-falk,h-dun,open\n"
)


class TableSchema(Schema):
    """A table of entries: CSV as text, or the first sheet of an XLSX workbook in Base64.

    The first row names the columns: `back_number` and `exhibitor`, and where wanted `entry`,
    `horse`, `divisions` (split by semicolons), `carried` and `late` (yes or no). Formulas are
    refused.
    """

    csv = Prose(LONGEST)
    xlsx = fields.String(
        validate=validate.Length(min=1, max=LONGEST),
        metadata={"description": "The workbook in Base64.", "contentEncoding": "base64"},
    )
    dry_run = fields.Boolean(
        load_default=False,
        truthy={True},
        falsy={False},
        metadata={"description": "List every fault, and write nothing."},
    )

    @validates_schema
    def _one(self, data: dict[str, Any], **_: object) -> None:
        exactly_one(data, ("csv", "xlsx"))


class CellFaultSchema(Schema):
    """What is wrong at a row, counted from 1 with the header."""

    row = Whole(required=True)
    column = fields.String(required=True, allow_none=True)
    says = fields.String(required=True)


class ImportedSchema(Schema):
    """What an import came to, or would; `version` is there when it was written."""

    entries = Whole(required=True, metadata={"description": "How many rows can be read."})
    faults = fields.List(fields.Nested(CellFaultSchema), required=True)
    written = fields.Boolean(required=True)
    version = Whole()


@blueprint.route("/import", methods=["POST"])
@blueprint.allows("office")
@blueprint.commands
@blueprint.refuses(404, 413, 415)
@blueprint.arguments(
    TableSchema,
    examples={
        "CSV": {"value": {"csv": TABLE}},
        "dry run": {"value": {"csv": TABLE, "dry_run": True}},
    },
)
@blueprint.response(
    200,
    ImportedSchema,
    example={
        "entries": 2,
        "faults": [{"row": 3, "column": "horse", "says": "No horse is registered as h-dun."}],
        "written": False,
    },
)
def import_entries(body: dict[str, Any], class_id: str) -> Response:
    """Import the entries of a class.

    All of the table is written, or, if there is any fault, none of it. A dry run answers with the
    faults; without it they are the `errors` of a problem document.
    """
    ask = command_ask()
    try:
        rows = _rows(body)
        if body["dry_run"]:
            found = importing.tried(desk(), ask, class_id, rows)
        else:
            found = importing.imported(desk(), ask, class_id, rows)
    except SheetUnreadable as unreadable:
        raise _refused([unreadable.fault]) from unreadable
    except ImportRefused as refused:
        raise _refused(refused.faults) from refused
    document: dict[str, Any] = {
        "entries": found.entries,
        "faults": found.faults,
        "written": found.receipt is not None,
    }
    if found.receipt is not None:
        document["version"] = found.receipt.version
    response = Response(json.dumps(ImportedSchema().dump(document)), mimetype="application/json")
    if found.receipt is not None:
        response.set_etag(str(found.receipt.version))
    return response


def _rows(body: dict[str, Any]) -> tuple[Row, ...]:
    return from_csv(body["csv"]) if "csv" in body else from_xlsx(body["xlsx"])


def _refused(faults: Sequence[CellFault]) -> Unwell:
    errors = [Fault(_place(fault), fault.says) for fault in faults]
    return Unwell(problem("import_refused", errors=errors))


def _place(fault: CellFault) -> str:
    """Where it is: a cell, a row, or in row 0 the whole workbook."""
    if fault.row == 0:
        return "xlsx"
    return f"rows[{fault.row}].{fault.column}" if fault.column else f"rows[{fault.row}]"
