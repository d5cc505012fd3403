"""Every event that a log can hold, and the one codec over them all."""

from typing import get_args

from events.codec import Codec
from events.envelope import Event
from events.judged_class.events import ClassEvent
from events.season.events import SeasonEvent
from events.show.events import ShowEvent

AnyEvent = ClassEvent | ShowEvent | SeasonEvent
ALL_EVENTS: tuple[type[Event], ...] = get_args(AnyEvent)

CODEC = Codec(AnyEvent)
