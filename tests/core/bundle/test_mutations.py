"""No change to a bundle goes unseen, and an event that was touched is named."""

from functools import cache
from random import Random

import pytest

from tests.core.bundle.bundles import check, stories
from tests.core.bundle.mutations import MUTATIONS, Mutation, Whole, whole

BUNDLES = 2


@cache
def _wholes() -> list[Whole]:
    short = stories(BUNDLES, revisions=2, most_events=32)
    return [whole(log, since=since) for log, since in zip(short, (None, 7), strict=True)]


def test_ten_thousand_mutations_are_tried_at_least() -> None:
    assert BUNDLES * sum(MUTATIONS.values()) >= 12_000
    for each in _wholes():
        assert check(each.data).sound


@pytest.mark.parametrize("which", range(BUNDLES))
@pytest.mark.parametrize("mutation", MUTATIONS, ids=lambda mutation: mutation.__name__)
def test_every_mutation_is_found_and_names_the_event(mutation: Mutation, which: int) -> None:
    sound = _wholes()[which]
    random = Random(f"{mutation.__name__}-{which}")
    for _ in range(MUTATIONS[mutation]):
        spoilt = mutation(sound, random)
        if spoilt.data == sound.data:
            continue
        faults = check(spoilt.data).faults
        assert faults, spoilt.data
        named = {fault.version for fault in faults}
        assert not spoilt.versions or named & spoilt.versions, (spoilt, faults)
