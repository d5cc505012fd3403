"""What official paper carries of the log's proof: whoever keeps the paper keeps a checkpoint."""

import hashlib
import io

import msgspec
import segno

from events.projections.result import ResultDocument
from service.desk.caller import Caller
from service.desk.desk import Desk
from service.desk.look import ClassLook
from service.publishing import shelf
from service.store.publications import Publication

_decode = msgspec.json.Decoder(ResultDocument).decode


class Seal(msgspec.Struct, frozen=True, kw_only=True):
    """Lines that each have a label, and the same lines as a QR code in SVG."""

    lines: tuple[tuple[str, str], ...]
    qr: str


def seal_of(desk: Desk, caller: Caller, seen: ClassLook) -> Seal | None:
    """The seal of official results; ``None`` where they are not official, or not published yet."""
    if seen.state.phase != "official":
        return None
    published = shelf.revisions(desk, caller, seen.id)
    found = next((each for each in published if each.version == seen.state.official_at), None)
    return None if found is None else _seal(found)


def _seal(of: Publication) -> Seal:
    document = _decode(of.document)
    lines = (
        ("Class", of.class_id),
        ("Revision", str(of.revision)),
        ("Class version", str(of.version)),
        ("Log size", str(document.position)),
        ("Root", document.root),
        ("Signed document, SHA-256", hashlib.sha256(of.document).hexdigest()),
    )
    drawn = io.BytesIO()
    text = "\n".join(f"{label}: {value}" for label, value in lines)
    segno.make(text, error="m", micro=False).save(drawn, kind="svg", xmldecl=False, border=4)
    return Seal(lines=lines, qr=drawn.getvalue().decode())
