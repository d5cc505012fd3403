"""What events say, to somebody who was not there."""

from collections.abc import Sequence

import msgspec

from events.envelope import Event, RecordedEvent, TextRef
from events.half_points import to_text
from events.judged_class import events as happened
from events.judged_class.state import ClassState
from events.rulebook.model import RuleBook
from service.desk.names import Names

_SETTLED_BY = {
    "rail_work": "Rail work",
    "run_off": "Run-off for the place",
    "judges_decision": "The judge decides the tie",
}
_ON_WHOSE_WORD = {
    "judge": "on the judge's word",
    "office_error": "for an error of the office",
    "ruling": "on the ruling",
}


class Speaker(msgspec.Struct, frozen=True):
    """Speaks of the events of one class; ``state`` is the class after the last of them."""

    events: Sequence[RecordedEvent]
    state: ClassState
    book: RuleBook
    names: Names

    def sentence(self, event: RecordedEvent) -> str | None:  # noqa: C901 - one branch an event
        """What an event says; ``None`` where it is one of the many that a card is made of."""
        match event.data:
            case happened.EntryScratched() as scratched:
                return f"{self.who(scratched.entry)} is scratched{self._why(scratched.reason)}"
            case happened.EntryExcused() as excused:
                return f"{self.who(excused.entry)} is excused{self._why(excused.reason)}"
            case happened.OutcomeCalled() as called:
                return self._outcome(called)
            case happened.PenaltyWithdrawn() as withdrawn:
                return f"{self.who(withdrawn.entry)}: a penalty is taken back before signing."
            case happened.OrderSet() as order:
                numbers = " before ".join(str(self._number(entry)) for entry in order.order)
                return f"{_SETTLED_BY[order.by]}: {numbers}{self._why(order.reason)}"
            case happened.OrderConfirmed():
                return "The judge lets the order stand on the totals as they are now."
            case happened.CardSigned(seat=seat):
                return f"The judge at seat {seat} signs the card."
            case happened.CorrectionMade() as made:
                return self._correction(made)
            case happened.ResultsPosted(revision=revision):
                return f"Results are posted, revision {revision}."
            case happened.ResultsMadeOfficial(revision=revision):
                return f"Revision {revision} is official."
            case happened.ResultsReopened() as reopened:
                word = _ON_WHOSE_WORD[reopened.authority]
                return f"Results are reopened {word}{self._why(reopened.reason)}"
            case happened.ProtestFiled() as filed:
                return self.protest(filed.filed_by, filed.ground, self.names.text(filed.statement))
            case happened.ProtestRuled() as ruled:
                word = "upholds" if ruled.verdict == "upheld" else "denies"
                return f"The steward {word} the protest{self._why(ruled.reason)}"
            case _:
                return None

    def protest(self, filed_by: str, ground: str, statement: str) -> str:
        """Who protests on which ground of the rule book, and what they say."""
        rules = self.book.protests
        known = [each.wording for each in rules.grounds if each.code == ground] if rules else []
        wording = known[0] if known else ground
        return f'{self.names.person(filed_by)} protests. Ground: {wording}. "{statement}"'

    def who(self, entry: str) -> str:
        """An entry by back number, rider and horse."""
        return f"{self._number(entry)} {self.rider(entry)} with {self.horse(entry)}"

    def rider(self, entry: str) -> str:
        """The name of an entry's exhibitor."""
        return self.names.person(self.state.entries[entry].exhibitor)

    def horse(self, entry: str) -> str:
        """The name of an entry's horse."""
        horse = self.state.entries[entry].horse
        return "no horse" if horse is None else self.names.horse(horse)

    def _number(self, entry: str) -> int:
        return self.state.entries[entry].back_number

    def _outcome(self, called: happened.OutcomeCalled) -> str:
        said = f"{self.who(called.entry)}: {called.kind.replace('_', ' ')}"
        if len(self.state.cards) > 1:
            said += f" on the card of seat {called.seat}"
        return f"{said}{self._why(called.reason)}"

    def _correction(self, made: happened.CorrectionMade) -> str:
        said = f"{self.who(made.entry)}: corrected {_ON_WHOSE_WORD[made.authority]}"
        was = None if made.replaces is None else self._fact(self.events[made.replaces - 1].data)
        now = None if made.fact is None else self._fact(made.fact)
        if was is None:
            change = f"{now} is added"
        elif now is None:
            change = f"{was} is taken away"
        else:
            change = f"{was} becomes {now}"
        return f"{said}: {change}{self._why(made.reason)}"

    def _fact(self, fact: Event) -> str:
        match fact:
            case happened.PenaltyCalled(points=points, code=code, maneuver=maneuver):
                penalty = self.book.penalty(code or "")
                wording = f" ({penalty.wording})" if penalty else ""
                at = f" at maneuver {maneuver}" if maneuver else ""
                return f"penalty {to_text(points)}{at}{wording}"
            case happened.MarkGiven(mark=mark, maneuver=maneuver):
                return f"mark {to_text(mark, signed=True)} at maneuver {maneuver}"
            case happened.RiderMarkGiven(mark=mark):
                return f"rider's mark {to_text(mark)}"
            case happened.OutcomeCalled(kind=kind):
                return kind.replace("_", " ")
            case happened.CorrectionMade(fact=corrected) if corrected is not None:
                return self._fact(corrected)
            case _:
                return "a note"

    def _why(self, reason: TextRef | None) -> str:
        said = "" if reason is None else f": {self.names.text(reason)}".rstrip(".")
        return f"{said}."
