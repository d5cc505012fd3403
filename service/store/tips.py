"""How far streams have come, and how often names were changed: all in one query."""

from collections.abc import Collection, Mapping

import msgspec

from service.store.engine import Database

_FAR = """
SELECT named.stream,
    coalesce((SELECT max(version) FROM event WHERE event.stream = named.stream), 0),
    (SELECT number FROM registry_turn)
FROM {source} AS named"""
_POSTGRESQL = _FAR.format(source="(SELECT unnest(%(streams)s::text[]) AS stream)")
_SQLITE = _FAR.format(source="(SELECT value AS stream FROM json_each(:streams))")


class Tips(msgspec.Struct, frozen=True, kw_only=True):
    """The version of each stream, 0 where there is no event in it.

    ``names`` counts the times that a name was corrected or erased.
    """

    versions: Mapping[str, int]
    names: int


def tips(database: Database, streams: Collection[str]) -> Tips:
    """How far these streams have come; at least one is named."""
    with database.reading() as connection:
        if database.is_sqlite:
            named: object = msgspec.json.encode(list(streams)).decode()
            rows = database.rows(connection, _SQLITE, {"streams": named})
        else:
            rows = database.rows(connection, _POSTGRESQL, {"streams": list(streams)})
    return Tips(versions={stream: version for stream, version, _ in rows}, names=rows[0][2])
