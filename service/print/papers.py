"""The papers that can be asked for: what a caller may see, set and pressed."""

from datetime import date
from typing import NamedTuple
from urllib.parse import quote

from events.judged_class.commands import EntryRef
from events.judged_class.references import card_of
from service.desk import inquiry, schedule
from service.desk.caller import Caller
from service.desk.desk import Desk
from service.desk.look import ClassLook, look
from service.desk.moments import At
from service.print import gate_sheet, judges_card
from service.print.about import subject_of
from service.print.explanation import explanation_sheet
from service.print.letters import legible
from service.print.press import Sheet, Size, press
from service.print.programme import programme
from service.print.results import results
from service.print.show_results import show_results
from service.publishing import shelf


class Paper(NamedTuple):
    """A PDF file: what is in it, its name in plain letters, and its name for people."""

    body: bytes
    plain_name: str
    name: str

    @property
    def disposition(self) -> str:
        """To be looked at, or saved under a name that old and new browsers read (RFC 6266)."""
        spoken = quote(self.name, safe="")
        return f"inline; filename=\"{self.plain_name}\"; filename*=UTF-8''{spoken}"


class Printer(NamedTuple):
    """Prints for one caller, on one size of paper."""

    desk: Desk
    caller: Caller
    size: Size = "a4"

    def blank_card(self, class_id: str, seat: str, at: At = None) -> Paper:
        """The card of a seat, for a judge to write on."""
        seen = look(self.desk, self.caller, class_id, at)
        made = judges_card.blank_card(self.desk, seen, card_of(seen.state, seat))
        return self._of_class(seen, made, f"card-{seat}", f"card {seat}")

    def filled_card(self, class_id: str, seat: str, at: At = None) -> Paper:
        """The card of a seat as it stands, where the caller may see it."""
        seen = look(self.desk, self.caller, class_id, at)
        made = judges_card.filled_card(self.desk, seen, seat)
        name = f"card {seat} at event {seen.version}"
        return self._of_class(seen, made, name.replace(" ", "-"), name)

    def gate_sheet(self, class_id: str, at: At = None) -> Paper:
        """The gate's sheet of a class."""
        seen = look(self.desk, self.caller, class_id, at)
        return self._of_class(
            seen, gate_sheet.gate_sheet(self.desk, seen), "gate-sheet", "gate sheet"
        )

    def results(self, class_id: str, at: At = None) -> Paper:
        """The results of a class as they stand."""
        seen = look(self.desk, self.caller, class_id, at)
        inquiry.note_reading(self.desk, self.caller, seen)
        made = results(self.desk, self.caller, seen)
        revision = seen.state.revision
        return self._of_class(seen, made, f"results-r{revision}", f"results, revision {revision}")

    def publication(self, class_id: str, revision: int) -> Paper:
        """One published revision, saying whether another has taken its place."""
        found = shelf.publication(self.desk, self.caller, class_id, revision)
        return self.results(class_id, found.version)

    def explanation(self, class_id: str, seat: str, ref: EntryRef, at: At = None) -> Paper:
        """Why an entry stands where it stands on a card."""
        found, seen = inquiry.explanation(self.desk, self.caller, class_id, seat, ref, at)
        made = explanation_sheet(self.desk, seen, found)
        name = f"explanation {seat} {found.back_number}"
        return self._of_class(seen, made, name.replace(" ", "-"), name)

    def programme(self, show_id: str, day: date | None = None) -> Paper:
        """A day's programme; without a day, that which the timetable shows."""
        seen = schedule.day_of(self.desk, self.caller, show_id, day)
        made = programme(self.desk, show_id, seen)
        return self._named(made, f"{show_id}-programme-{seen.day}", made.head.title)

    def show_results(self, show_id: str, day: date | None = None) -> Paper:
        """All results of a show, or of one of its days."""
        made = show_results(self.desk, self.caller, show_id, day)
        plain = f"{show_id}-results" + (f"-{day}" if day else "")
        return self._named(made, plain, made.head.title)

    def _of_class(self, seen: ClassLook, sheet: Sheet, plain: str, name: str) -> Paper:
        return self._named(sheet, f"{seen.id}-{plain}", f"{subject_of(seen)}, {name}")

    def _named(self, sheet: Sheet, plain: str, name: str) -> Paper:
        body = press(sheet, self.size)
        # A name is part of a path where the file is saved.
        spoken = legible(name).translate(_UNSAFE)
        return Paper(body=body, plain_name=f"{plain}.pdf", name=f"{spoken}.pdf")


_UNSAFE = str.maketrans(dict.fromkeys('/\\:*?"<>|', "-"))
