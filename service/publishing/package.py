"""A whole show's results in one file: lines of JSON, or a data package of tables.

The package is a Frictionless Data Package v2 (https://datapackage.org): a zip with
``datapackage.json``, CSV tables each with its schema and SHA-256, and every signed document with
its note. The same publications and names make the same bytes.
"""

import hashlib
import io
import json
import re
import zipfile
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

import msgspec

from events.codec import time_text
from service.publishing.columns import (
    CHANGES,
    CORRECTIONS,
    DIVISIONS,
    PUBLICATIONS,
    RESULTS,
    changes,
    division_lines,
    lines,
    reasons,
)
from service.publishing.published import Published
from service.publishing.standing_columns import AWARDS, AwardLine
from service.publishing.tables import Table

PROFILE = "https://datapackage.org/profiles/2.0/datapackage.json"
TABLE_PROFILE = "https://datapackage.org/profiles/2.0/tableschema.json"
_BEGINNING = (1980, 1, 1, 0, 0, 0)  # the earliest time that a zip can hold
_READABLE = 0o644 << 16
_NOT_IN_A_NAME = re.compile(r"[^a-z0-9._-]+")


class File(msgspec.Struct, frozen=True):
    """A file of the package, and what the descriptor says about it."""

    path: str
    content: bytes
    about: dict[str, Any]


def ndjson(revisions: Iterable[Published]) -> Iterator[bytes]:
    """A line for each revision: what was signed, its note, its checkpoint, and names beside it.

    ``document`` is in the canonical form of RFC 8785, so canonicalising it again gives the bytes
    that the note signs.
    """
    for each in revisions:
        published = each.publication
        line = {
            "document": msgspec.Raw(published.document),
            "note": published.note.decode(),
            "checkpoint": published.checkpoint,
            "published_at": time_text(published.published_at),
            "names": _names(each),
        }
        yield msgspec.json.encode(line, order="sorted") + b"\n"


def package(
    show_id: str, title: str, revisions: Sequence[Published], awards: Sequence[AwardLine] = ()
) -> bytes:
    """The show's results as a data package; ``revisions`` in the order of the log.

    The results are those of each class's newest revision; what came before is told in the tables
    of changes and corrections, and lies beside them as it was signed. The awards of the show are a
    table of their own where there are any.
    """
    files = [*_tables(revisions), *([_table(AWARDS, awards)] if awards else [])]
    files += [file for each in revisions for file in _signed(each)]
    descriptor = _descriptor(show_id, title, files, revisions)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as packed:
        for name, content in (
            ("datapackage.json", descriptor),
            *((file.path, file.content) for file in files),
        ):
            # Not compressed: no two releases of a compressor promise the same bytes.
            info = zipfile.ZipInfo(name, _BEGINNING)
            info.external_attr = _READABLE
            packed.writestr(info, content)
    return out.getvalue()


def newest(revisions: Iterable[Published]) -> tuple[Published, ...]:
    """The last revision of each class, in the order in which the classes were first published."""
    return tuple({each.document.class_id: each for each in revisions}.values())


def _tables(revisions: Sequence[Published]) -> Iterator[File]:
    yield _table(RESULTS, (row for each in newest(revisions) for row in lines(each)))
    yield _table(DIVISIONS, (row for each in newest(revisions) for row in division_lines(each)))
    yield _table(PUBLICATIONS, revisions)
    yield _table(CHANGES, (row for each in revisions for row in changes(each)))
    yield _table(CORRECTIONS, (row for each in revisions for row in reasons(each)))


def _table(table: Table[Any], rows: Iterable[Any]) -> File:
    fields = [
        {
            "name": column.name,
            "type": column.type,
            "description": column.says,
            **({} if column.optional else {"constraints": {"required": True}}),
        }
        for column in table.columns
    ]
    about = {
        "name": table.name,
        "title": table.title,
        "type": "table",
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "schema": {
            "$schema": TABLE_PROFILE,
            "fields": fields,
            "primaryKey": list(table.key),
            "missingValues": [""],
        },
    }
    return File(f"{table.name}.csv", table.csv(rows), about)


def _signed(of: Published) -> Iterator[File]:
    document = of.document
    # The position names a publication as surely as class and revision do, and fits a file's name.
    stem = f"{document.position:012}-{_slug(document.class_id)}-r{document.revision}"
    title = f"{document.name}, revision {document.revision}"
    yield File(
        f"signed/{stem}.json",
        of.publication.document,
        {
            "name": stem,
            "title": f"{title}, as signed",
            "format": "json",
            "mediatype": "application/json",
        },
    )
    yield File(
        f"signed/{stem}.note",
        of.publication.note,
        {
            "name": f"{stem}-note",
            "title": f"{title}: the signed note",
            "format": "note",
            "mediatype": "text/plain",
        },
    )


def _descriptor(
    show_id: str, title: str, files: Sequence[File], revisions: Sequence[Published]
) -> bytes:
    descriptor: dict[str, Any] = {
        "$schema": PROFILE,
        "name": _slug(f"results-{show_id}"),
        "title": title,
        "description": "Official results. Text cells that a spreadsheet could take for a formula "
        "have an apostrophe before them.",
        "resources": [
            {
                **file.about,
                "path": file.path,
                "bytes": len(file.content),
                "hash": f"sha256:{hashlib.sha256(file.content).hexdigest()}",
            }
            for file in files
        ],
    }
    if revisions:
        descriptor["created"] = time_text(revisions[-1].publication.published_at)
    return (json.dumps(descriptor, ensure_ascii=False, indent=2) + "\n").encode()


def _names(of: Published) -> dict[str, Any]:
    return {
        "judges": {
            judge: of.names.person(judge)
            for seat in of.document.seats
            for judge in (*seat.judges_before, seat.judge)
        },
        "entries": {
            row.entry: {"exhibitor": of.exhibitor(row.entry), "horse": of.horse(row.entry)}
            for _, row in of.rows()
        },
    }


def _slug(text: str) -> str:
    return _NOT_IN_A_NAME.sub("-", text.lower()).strip("-") or "show"
