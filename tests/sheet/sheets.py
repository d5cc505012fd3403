"""Score sheets as a teacher would write them, and what comes of them."""

import json
from collections.abc import Mapping, Sequence
from typing import Any

from service.sheet.as_json import as_json
from service.sheet.faults import SheetRefused
from service.sheet.score import Scored, score_sheet

Sheet = dict[str, Any]
Rows = list[dict[str, Any]]


def sheet(
    book: str | Mapping[str, Any],
    rides: Mapping[str, Mapping[str, Any]],
    *,
    maneuvers: Sequence[str] = (),
    rail: Sequence[Mapping[str, Any]] = (),
    scratched: Sequence[str] = (),
) -> Sheet:
    """One judge's card; entry n carries back number 100 + n, and maneuvers get names."""
    longest = max(len(ride.get("marks", ())) for ride in rides.values())
    entries = [{"entry": entry, "back_number": 100 + int(entry)} for entry in rides]
    gone = [{"entry": e, "back_number": 100 + int(e), "scratched": True} for e in scratched]
    card = {"seat": "A", "rides": [{"entry": entry, **ride} for entry, ride in rides.items()]}
    return {
        "rulebook": book,
        "maneuvers": list(maneuvers) or [f"Maneuver {n}" for n in range(1, longest + 1)],
        "entries": [*entries, *gone],
        "cards": [{**card, "rail": list(rail)} if rail else card],
    }


def written(document: object) -> bytes:
    return json.dumps(document).encode()


def scored(document: object) -> Scored:
    return score_sheet(written(document))


def result(document: object) -> dict[str, Any]:
    return as_json(scored(document))


def rows(document: object, seat: str = "A") -> Rows:
    placings: Rows = result(document)["seats"][seat]["placings"]
    return placings


def places(document: object) -> dict[str, int | None]:
    """The place of each entry, in the order of the placing."""
    return {row["entry"]: row["place"] for row in rows(document)}


def total(book: str, marks: Sequence[float], **ride: object) -> float:
    """The total of a single ride."""
    (row,) = rows(sheet(book, {"1": {"marks": list(marks), **ride}}))
    points: float = row["total"]
    return points


def faults(document: object) -> list[str]:
    """What the sheet is refused for, one line a fault; none if it is scored."""
    content = document if isinstance(document, bytes) else written(document)
    try:
        score_sheet(content)
    except SheetRefused as refused:
        return [str(fault) for fault in refused.faults]
    return []
