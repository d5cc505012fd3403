"""Values for property tests, drawn from the very types that events are made of."""

from collections.abc import Mapping
from datetime import UTC, datetime, timedelta, timezone
from typing import Any, TypeVar

import msgspec.inspect
from hypothesis import strategies as st

from events.catalogue import ALL_EVENTS
from events.envelope import Actor, Event, NewEvent

GREATEST = 2**53 - 1
texts = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=30)
"""Any text that an event may hold."""

moments = st.datetimes(
    min_value=datetime(1970, 1, 3),  # noqa: DTZ001 - hypothesis adds the zone
    max_value=datetime(2200, 1, 1),  # noqa: DTZ001 - as above
    timezones=st.integers(-840, 840).map(lambda minutes: timezone(timedelta(minutes=minutes))),
)
"""Times in any zone."""

utc_moments = moments.map(lambda moment: moment.astimezone(UTC))
streams = st.builds("{}-{}".format, st.sampled_from(["show", "class", "season"]), texts)


Pools = Mapping[str, st.SearchStrategy[Any]]
S = TypeVar("S", bound=msgspec.Struct)


def events_of(kind: type[Event]) -> st.SearchStrategy[Event]:
    """Any event of one class, its optional fields given or left out."""
    return pooled(kind, {})


def pooled(kind: type[S], pools: Pools) -> st.SearchStrategy[S]:
    """Any value of one class, with the parts of it that have a pool taken from there.

    Texts and numbers have the pool of their field's name, values of a class that of its name.
    Literal fields keep to their own values, and what has no pool takes any value.
    """
    return _struct(msgspec.inspect.type_info(kind), pools)


def actors() -> st.SearchStrategy[Actor]:
    """Anybody who may act."""
    return pooled(Actor, {})


def new_events() -> st.SearchStrategy[NewEvent]:
    """Any event of the catalogue on its way into the log."""
    return st.builds(
        NewEvent,
        id=texts,
        command=texts,
        actor=actors(),
        occurred_at=moments,
        data=st.sampled_from(ALL_EVENTS).flatmap(events_of),
    )


def _struct(info: msgspec.inspect.Type, pools: Pools) -> st.SearchStrategy[Any]:
    assert isinstance(info, msgspec.inspect.StructType)
    required = {f.name: _of(f.type, pools, f.name) for f in info.fields if f.required}
    optional = {f.name: _of(f.type, pools, f.name) for f in info.fields if not f.required}
    return st.fixed_dictionaries(required, optional=optional).map(lambda given: info.cls(**given))


def _of(info: msgspec.inspect.Type, pools: Pools, name: str) -> st.SearchStrategy[Any]:
    match info:
        case msgspec.inspect.StructType(cls=kind):
            return pools[kind.__name__] if kind.__name__ in pools else _struct(info, pools)
        case msgspec.inspect.UnionType(types=types):
            return st.one_of([_of(each, pools, name) for each in types])
        case msgspec.inspect.VarTupleType(item_type=item):
            return st.lists(_of(item, pools, name), max_size=4).map(tuple)
        case msgspec.inspect.LiteralType(values=values):
            return st.sampled_from(values)
        case msgspec.inspect.NoneType():
            return st.none()
        case _:
            return pools[name] if name in pools else _any(info)


def _any(info: msgspec.inspect.Type) -> st.SearchStrategy[Any]:
    match info:
        case msgspec.inspect.StrType():
            return texts
        case msgspec.inspect.BoolType():
            return st.booleans()
        case msgspec.inspect.IntType(ge=least):
            return st.integers(-GREATEST if least is None else least, GREATEST)
        case msgspec.inspect.DateTimeType():
            return moments
        case msgspec.inspect.DateType():
            return st.dates()
        case msgspec.inspect.TimeType(tz=None):
            return st.times()
        case _:
            raise AssertionError(f"{info} is a type that no strategy draws yet")
