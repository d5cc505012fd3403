"""Reads a score sheet and misses no fault on the way."""

import msgspec

from events.rulebook.fault import RuleBookRefused
from events.rulebook.load import load_json
from events.rulebook.model import RuleBook
from events.scoring.points.load import load_inline
from events.scoring.points.model import PointsTable
from service.books import NoSuchBook, shipped_book
from service.points import NoSuchTable, shipped_table
from service.sheet.check import contradictions
from service.sheet.document import read_document, repeated_keys
from service.sheet.faults import SheetFault, json_path
from service.sheet.model import Sheet, SheetEntry
from service.sheet.part import Part
from service.sheet.read_cards import read_card
from service.sheet.read_panel import read_panel
from service.sheet.read_purse import read_purse
from service.sheet.values import Unreadable, cut, line, must_be, number_as_text, whole, yes_or_no

_MOST_SECTIONS = 100


class Reading(msgspec.Struct, frozen=True, kw_only=True):
    """What could be read of a sheet, and everything that could not.

    While there are ``faults``, parts are left out of ``sheet``, or there is no ``book``: it then
    serves only to find more that is wrong.
    """

    book: RuleBook | None
    sheet: Sheet
    faults: tuple[SheetFault, ...]


def read_sheet(content: bytes) -> Reading:
    """What a file says; ``SheetRefused`` if it is not JSON at all."""
    document = read_document(content)
    faults = [
        SheetFault(json_path(path), "This key stands here more than once.")
        for path in repeated_keys(document)
    ]
    keys = Part(document, (), faults).table(
        ("rulebook", "entries", "cards"),
        ("maneuvers", "panel", "class_number", "cuts", "points", "purse"),
    )
    book = _book(keys["rulebook"], faults)
    maneuvers = [item.read(line) for item in _some(keys["maneuvers"])]
    entries = [_entry(item) for item in _some(keys["entries"])]
    cards = [read_card(item) for item in _some(keys["cards"])]
    cuts = [item.read(cut) for item in keys["cuts"].items()]
    sheet = Sheet(
        panel=read_panel(keys["panel"]),
        class_number=keys["class_number"].read(whole()),
        cuts=tuple(each for each in cuts if each is not None),
        points=_points(keys["points"], faults),
        purse=read_purse(keys["purse"]),
        maneuvers=tuple(maneuver or "?" for maneuver in maneuvers),
        entries=tuple(entry for entry in entries if entry is not None),
        cards=tuple(card for card in cards if card is not None),
    )
    scored = isinstance(document, dict) and sheet.judging == "scored"
    if scored and not keys["maneuvers"].given:
        keys["maneuvers"].fault("This is missing.")
    known = bool(entries) and None not in entries
    faults += [
        SheetFault(json_path(path), sentence)
        for path, sentence in contradictions(sheet, entries_known=known)
    ]
    return Reading(book=book, sheet=sheet, faults=tuple(faults))


def _points(part: Part, faults: list[SheetFault]) -> PointsTable | None:
    """A shipped points table by its id, or a whole table or formula given in the sheet."""
    if not isinstance(part.value, dict):
        return part.read(_shipped_table)
    try:
        return load_inline(part.value)
    except RuleBookRefused as refused:
        _note_inside(part, refused, faults)
        return None


def _shipped_table(value: object) -> PointsTable:
    if not isinstance(value, str):
        raise Unreadable(must_be("the id of a points table, or a whole one as an object", value))
    try:
        return shipped_table(value)
    except NoSuchTable as missing:
        raise Unreadable(str(missing)) from None


def _note_inside(part: Part, refused: RuleBookRefused, faults: list[SheetFault]) -> None:
    place = json_path(part.path)
    for fault in refused.faults:
        path = f"{place}.{fault.path}" if fault.path else place
        faults.append(SheetFault(path, fault.sentence))


def _book(part: Part, faults: list[SheetFault]) -> RuleBook | None:
    """A shipped book by its id, or a whole book given in the sheet."""
    if not isinstance(part.value, dict):
        return part.read(_shipped)
    try:
        return load_json(part.value)
    except RuleBookRefused as refused:
        _note_inside(part, refused, faults)
        return None


def _shipped(value: object) -> RuleBook:
    if not isinstance(value, str):
        raise Unreadable(must_be("the id of a rule book, or a whole one as an object { }", value))
    try:
        return shipped_book(value)
    except NoSuchBook as missing:
        raise Unreadable(str(missing)) from None


def _some(part: Part) -> tuple[Part, ...]:
    """The items of a list that may not be empty."""
    items = part.items()
    if part.value == []:
        part.fault("This list is empty; something must stand in it.")
    return items


def _entry(part: Part) -> SheetEntry | None:
    keys = part.table(("entry", "back_number"), ("scratched", "divisions", "section"))
    entry = keys["entry"].read(number_as_text)
    back_number = keys["back_number"].read(whole())
    scratched = keys["scratched"].read(yes_or_no) or False
    divisions = [item.read(line) for item in keys["divisions"].items()]
    section = keys["section"].read(whole(_MOST_SECTIONS))
    if entry is None or back_number is None:
        return None
    return SheetEntry(
        path=part.path,
        entry=entry,
        back_number=back_number,
        scratched=scratched,
        divisions=tuple(name for name in divisions if name is not None),
        section=section,
    )
