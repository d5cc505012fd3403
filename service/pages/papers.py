"""Papers for whoever is signed in: the same PDF files that the API hands out."""

from collections.abc import Callable

from flask import Response, make_response, request

from events.judged_class.commands import EntryRef
from events.refusals import Refusal
from service.desk.desk import Desk
from service.desk.moments import At
from service.pages.asked import day_asked, moment_asked
from service.pages.render import POLICY, visitor
from service.print.papers import Paper, Printer
from service.print.press import SIZES, Size


class Papers:
    """The papers. Results and programmes are open to everybody, the others to holders of keys."""

    def __init__(self, find: Callable[[], Desk]) -> None:
        self._find = find

    def blank_card(self, class_id: str, seat: str) -> Response:
        """A judge's card to write on."""
        return _handed(self._signed_in().blank_card(class_id, seat, self._moment(class_id)))

    def filled_card(self, class_id: str, seat: str) -> Response:
        """A judge's card as it stood at the moment that is looked at."""
        return _handed(self._signed_in().filled_card(class_id, seat, self._moment(class_id)))

    def gate_sheet(self, class_id: str) -> Response:
        """The gate's sheet."""
        return _handed(self._signed_in().gate_sheet(class_id, self._moment(class_id)))

    def explanation(self, class_id: str, entry: str) -> Response:
        """Why an entry stands where it stands."""
        seat = request.args.get("seat", "A")
        ref, at = EntryRef(entry=entry), self._moment(class_id)
        return _handed(self._signed_in().explanation(class_id, seat, ref, at))

    def results(self, class_id: str) -> Response:
        """The results of a class."""
        return _handed(self._printer().results(class_id, self._moment(class_id)))

    def programme(self, show_id: str) -> Response:
        """A day's programme."""
        return _handed(self._printer().programme(show_id, day_asked()))

    def show_results(self, show_id: str) -> Response:
        """All results of a show, or of one of its days."""
        return _handed(self._printer().show_results(show_id, day_asked()))

    def _moment(self, class_id: str) -> At:
        return moment_asked(self._find(), class_id)

    def _printer(self) -> Printer:
        desk = self._find()
        return Printer(desk, visitor(desk), _size_asked())

    def _signed_in(self) -> Printer:
        printer = self._printer()
        if printer.caller.role == "public":
            raise Refusal(
                "role_not_allowed",
                "This paper is for the show office, the steward and the judges' scribes: "
                "sign in first.",
            )
        return printer


def _handed(paper: Paper) -> Response:
    response = make_response(paper.body)
    response.mimetype = "application/pdf"
    response.headers["Content-Disposition"] = paper.disposition
    response.headers["Content-Security-Policy"] = POLICY
    response.headers["Cache-Control"] = "private, no-cache"
    response.headers["Vary"] = "Cookie"
    response.add_etag()
    response.make_conditional(request)
    return response


def _size_asked() -> Size:
    asked = request.args.get("paper", "a4")
    found = next((size for size in SIZES if size == asked), None)
    if found is None:
        known = " and ".join(SIZES)
        raise Refusal("paper_unknown", f"Paper is of the sizes {known}, not {asked!r}.")
    return found
