"""Which events an outsider is told of as changes, and as which kind.

Whatever is kept of a show's plan, of a class's turn in it or of a season's rules is told, so that a
copy never has to be read anew as a whole. What is added to shows and seasons later is told unless
it is named here.
"""

from collections.abc import Mapping
from typing import Literal, get_args

from events.envelope import Event
from events.judged_class.events import ClassEvent, ClassScheduled, ResultsReopened
from events.season.events import SeasonEvent, SeasonOpened
from events.show.events import (
    BackNumberGiven,
    BackNumberTakenBack,
    ClassSlotted,
    EvidenceSeen,
    EvidenceTakenBack,
    ShowEvent,
    ShowPlanned,
)

Kind = Literal[
    "show_planned",
    "class_scheduled",
    "season_opened",
    "result_published",
    "result_corrected",
    "standing_moved",
    "show_changed",
    "class_moved",
    "class_changed",
    "results_reopened",
    "season_changed",
    "award_moved",
]
MEANINGS: Mapping[Kind, str] = {
    "show_planned": "A show was planned.",
    "class_scheduled": "A class was put on a show's schedule.",
    "season_opened": "A season was opened.",
    "result_published": "A class's results were published for the first time.",
    "result_corrected": "A further revision of a class's results was published.",
    "standing_moved": "Standings of a season moved.",
    "show_changed": "What is planned of a show changed: its name, place or days, its rings, "
    "officials, rule books, divisions, awards or deadlines.",
    "class_moved": "A class was given its turn in a ring on a day, or another.",
    "class_changed": "What is planned of a class changed, or it was cancelled or combined.",
    "results_reopened": "Official results were opened again; the last revision stands until the "
    "next.",
    "season_changed": "What a season counts by changed: its awards, shows, classes or members.",
    "award_moved": "The standing of an award of a show moved.",
}
"""Each kind, and what it tells."""

_UNTOLD: frozenset[type[Event]] = frozenset(
    {BackNumberGiven, BackNumberTakenBack, EvidenceSeen, EvidenceTakenBack}
)
"""What concerns single exhibitors."""

PLANS = frozenset(
    {
        "class.scheduled",
        "class.rescheduled",
        "class.cancelled",
        "class.cancellation_lifted",
        "class.combined",
        "class.combined_into",
        "class.panel_changed",
    }
)
"""The tags of what changes the plan of a class; the rest is told by its results."""


def _tag(of: type[Event]) -> str:
    return str(of.__struct_config__.tag)


_FIRST: Mapping[type[Event], Kind] = {
    ShowPlanned: "show_planned",
    ClassScheduled: "class_scheduled",
    SeasonOpened: "season_opened",
}
_LATER: Mapping[type[Event], Kind] = {
    **{each: "show_changed" for each in get_args(ShowEvent) if each not in _UNTOLD},
    **dict.fromkeys(get_args(SeasonEvent), "season_changed"),
    ClassSlotted: "class_moved",
    **{each: "class_changed" for each in get_args(ClassEvent) if _tag(each) in PLANS},
    ResultsReopened: "results_reopened",
}
HAPPENINGS: frozenset[Kind] = frozenset({*_FIRST.values(), *_LATER.values()})
"""The kinds that single events make; the others are made by followers."""


def kind_of(event: Event, version: int) -> Kind | None:
    """What an event of that version of its stream is told as; ``None`` where it is not told."""
    first = _FIRST.get(type(event)) if version == 1 else None
    return first or _LATER.get(type(event))


def tags(kinds: frozenset[Kind]) -> frozenset[str]:
    """The tags, as stored, of all events that may be told as one of these kinds."""
    told = [*_FIRST.items(), *_LATER.items()]
    return frozenset(_tag(each) for each, kind in told if kind in kinds)
