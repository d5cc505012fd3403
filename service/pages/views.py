"""The screens: shows, a show, its gate, a class at a moment, why an entry stands, the audit."""

from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from importlib.resources import files
from typing import NamedTuple

from flask import Response, make_response, redirect, request

from events.judged_class.commands import EntryRef
from events.judged_class.decide_gate import gate_calls
from events.judged_class.state import ClassState
from events.projections.earned import pair_of
from events.projections.explain import as_text
from events.projections.placing import cautions
from events.refusals import Refusal
from events.rulebook.model import RuleBook
from service.desk import (
    eligibility_looks,
    inquiry,
    keys,
    prize_money,
    schedule,
    show_awards,
    shows,
    standings,
)
from service.desk.desk import Desk
from service.desk.look import cards_of, look, placing_of
from service.desk.story import story
from service.pages.asked import day_asked, moment_asked, zone_of
from service.pages.by_day import UNDER_WAY, listing
from service.pages.papers import Papers
from service.pages.render import COOKIE, EVERYBODY, page, readable, visitor

View = Callable[..., Response]
_READS_LOG = frozenset({"office", "steward", "federation"})
_AUDITS = frozenset({"office", "steward"})
_NEWEST = 12
_BEST = 10
"""So many of the first stand under each award."""
_SHOWN_WHOLE = 40
"""So many classes fit on one page; of more, one day is shown at a time."""
_IN_LINE = ("Next", "On deck", "In the hole")
_GATE_SECONDS = 15


class Route(NamedTuple):
    """An address, its name, how it is called, and what answers."""

    rule: str
    name: str
    methods: Sequence[str]
    view: View


def routes(find: Callable[[], Desk]) -> tuple[Route, ...]:
    """Every screen; ``find`` gives the desk that serves the request."""
    screens, papers = Screens(find), Papers(find)
    get, post, one = ("GET",), ("POST",), "/classes/<id:class_id>"
    made = (
        Route("/", "shows", get, screens.shows),
        Route("/shows/<id:show_id>", "show", get, screens.show),
        Route("/shows/<id:show_id>/gate", "gate", get, screens.gate),
        Route("/classes/<id:class_id>", "class", get, screens.one_class),
        Route("/classes/<id:class_id>/entries/<id:entry>", "entry", get, screens.entry),
        Route("/classes/<id:class_id>/audit", "audit", get, screens.audit),
        Route("/classes/<id:class_id>/eligibility", "eligibility", get, screens.eligibility),
        Route("/shows/<id:show_id>/programme.pdf", "programme", get, papers.programme),
        Route("/shows/<id:show_id>/results.pdf", "show-results", get, papers.show_results),
        Route(f"{one}/results.pdf", "results", get, papers.results),
        Route(f"{one}/gate-sheet.pdf", "gate-sheet", get, papers.gate_sheet),
        Route(f"{one}/cards/<id:seat>/blank.pdf", "blank-card", get, papers.blank_card),
        Route(f"{one}/cards/<id:seat>/filled.pdf", "filled-card", get, papers.filled_card),
        Route(f"{one}/entries/<id:entry>/explanation.pdf", "explanation", get, papers.explanation),
        Route("/sign-in", "sign-in", get, screens.sign_in),
        Route("/sign-in", "signed-in", post, screens.signed_in),
        Route("/sign-out", "sign-out", post, screens.sign_out),
        Route("/pages.css", "style", get, lambda: static("pages.css", "text/css")),
        Route("/pages.svg", "icon", get, lambda: static("pages.svg", "image/svg+xml")),
    )
    return tuple(each._replace(view=readable(find, each.view)) for each in made)


def static(name: str, mimetype: str) -> Response:
    """The style sheet, or the sign of the house."""
    text = files("service.pages").joinpath("static", name).read_text("utf-8")
    response = make_response(text)
    response.mimetype = mimetype
    response.headers["Cache-Control"] = "public, max-age=3600"
    return response


class Screens:
    """The screens. They only read; whatever changes anything goes through the API."""

    def __init__(self, find: Callable[[], Desk]) -> None:
        self._find = find

    @property
    def desk(self) -> Desk:
        """The desk that serves this request."""
        return self._find()

    def shows(self) -> Response:
        """Every show that the visitor may look at, the newest first."""
        caller = visitor(self.desk)
        listed = shows.looks(self.desk, shows.listed(self.desk, caller))
        return page("shows.html", caller, shows=listed[::-1])

    def show(self, show_id: str) -> Response:
        """A show's classes by day and ring, each at the stage it is in, and its awards.

        Of many classes one day is shown at a time: the one asked for, else today, where the show
        is on today, else the first.
        """
        caller = visitor(self.desk)
        seen = shows.look(self.desk, caller, show_id)
        now = shows.classes_now(self.desk, caller, show_id)
        classes = [(each.id, state) for each, state, _ in now]
        awards = [
            (each, standings.read(self.desk, each, each.rows[:_BEST], with_lines=False))
            for each in show_awards.current(self.desk, caller, show_id)
        ]
        found = listing(seen.state, classes)
        asked = request.args.get("day", "").strip()
        return page(
            "show.html",
            caller,
            show=seen,
            listing=found,
            classes=len(classes),
            under_way=UNDER_WAY,
            awards=awards,
            pair_of=pair_of,
            day=found.shown_day(
                asked, self.desk.clock().astimezone(zone_of(self.desk, show_id)).date()
            ),
            whole=asked == "all" or (not asked and len(classes) <= _SHOWN_WHOLE),
        )

    def gate(self, show_id: str) -> Response:
        """Who is in every ring, who is next, on deck and in the hole, on one day of a show."""
        caller = visitor(self.desk)
        seen = schedule.day_of(self.desk, caller, show_id, day_asked())
        planned = seen.state.planned
        assert planned is not None  # noqa: S101 - its day was read
        length = (planned.last_day - planned.first_day).days + 1
        return page(
            "gate.html",
            caller,
            show=show_id,
            seen=seen,
            days=[planned.first_day + timedelta(days=number) for number in range(length)],
            labels=_IN_LINE,
            last_call=lambda class_id: gate_calls(self._book(seen.classes[class_id])),
            every=_GATE_SECONDS,
            now=self.desk.clock(),
            clock=lambda at: f"{at.astimezone(seen.zone):%H:%M}",
        )

    def _book(self, of: ClassState) -> RuleBook:
        assert of.scheduled is not None  # noqa: S101 - it stands in the day's plan
        return self.desk.books.held_to(of.scheduled.rulebook)

    def _grounds(self, of: ClassState) -> dict[str, str]:
        """What may or may not be protested, by code, in the rule book's words."""
        rules = self._book(of).protests
        return {ground.code: ground.wording for ground in rules.grounds} if rules else {}

    def one_class(self, class_id: str) -> Response:
        """The placing of a class, its cards and the end of its log, at a moment."""
        caller = visitor(self.desk)
        seen = look(self.desk, caller, class_id, moment_asked(self.desk, class_id))
        placing = placing_of(seen)
        log = None
        if caller.role in _READS_LOG:
            after = max(0, seen.version - _NEWEST)
            log = story(self.desk, caller, class_id, after=after, limit=_NEWEST, at=seen.version)
        return page(
            "class.html",
            caller,
            seen=seen,
            placing=placing,
            cautions=cautions(placing),
            cards=() if caller is EVERYBODY else cards_of(seen),
            log=log,
            protests=seen.state.protests if caller.role in _AUDITS else {},
            grounds=self._grounds(seen.state),
            local=self._clock(seen.show),
            zone=zone_of(self.desk, seen.show).key,
            money=prize_money.of_class(
                self.desk, caller, class_id, moment_asked(self.desk, class_id)
            ),
            audits=caller.role in _AUDITS,
            papers=caller.role != "public",
        )

    def entry(self, class_id: str, entry: str) -> Response:
        """Why an entry stands where it stands on one card."""
        caller = visitor(self.desk)
        seat = request.args.get("seat", "A")
        if caller.role == "public":
            raise _sign_in_first()
        at = moment_asked(self.desk, class_id)
        meant = EntryRef(entry=entry)
        found, seen = inquiry.explanation(self.desk, caller, class_id, seat, meant, at)
        return page(
            "entry.html",
            caller,
            seen=seen,
            found=found,
            lines=as_text(found),
            local=self._clock(seen.show),
            zone=zone_of(self.desk, seen.show).key,
        )

    def audit(self, class_id: str) -> Response:
        """What in the log of a class deserves a look."""
        caller = visitor(self.desk)
        if caller.role not in _AUDITS:
            raise _sign_in_first()
        found, _ = inquiry.findings(self.desk, caller, class_id)
        return page("audit.html", caller, class_id=class_id, findings=found)

    def eligibility(self, class_id: str) -> Response:
        """How the entries of a class stand by their divisions, with what is known now."""
        caller = visitor(self.desk)
        if caller.role not in _AUDITS:
            raise _sign_in_first()
        found = eligibility_looks.of_class(self.desk, caller, class_id)
        return page("eligibility.html", caller, class_id=class_id, found=found)

    def sign_in(self) -> Response:
        """Where a key is entered."""
        return page("sign_in.html", visitor(self.desk), wrong=False)

    def signed_in(self) -> Response:
        """The key is kept in the visitor's browser, out of reach of any script."""
        presented = request.form.get("key", "").strip()
        if keys.recognise(self.desk, presented) is None:
            return page("sign_in.html", EVERYBODY, 403, wrong=True)
        response = make_response(redirect("/", 303))
        response.set_cookie(
            COOKIE, presented, httponly=True, samesite="Strict", secure=request.is_secure
        )
        return response

    def sign_out(self) -> Response:
        """The key is forgotten."""
        response = make_response(redirect("/", 303))
        response.delete_cookie(COOKIE, httponly=True, samesite="Strict")
        return response

    def _clock(self, show: str) -> Callable[[datetime], str]:
        """How the show's own clock reads a time."""
        zone = zone_of(self.desk, show)
        return lambda time: f"{time.astimezone(zone):%Y-%m-%d %H:%M:%S}"


def _sign_in_first() -> Refusal:
    return Refusal(
        "role_not_allowed", "This screen is for the show office and the steward: sign in first."
    )
